"""Variants keep what a talk says and change the words in which it is said."""

import pytest
from talks import moved
from variants import variants

from vouchbook.extract.packs.load import COMMON, load_pack
from vouchbook.extract.packs.vocabulary import Vocabulary, layered
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.run import transcript_of

_CAPTIONS = """WEBVTT

00:00:01.000 --> 00:00:06.000
<v Orla>If the lamp stays on, take the four bolts out of the cover with a thirteen spanner.

00:00:06.500 --> 00:00:09.000
<v Orla>The same four bolts hold the left bracket.
"""


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return layered(load_pack(COMMON), load_pack("road_vehicles"))


@pytest.fixture(scope="module")
def talk(vocabulary: Vocabulary, tmp_path_factory: pytest.TempPathFactory) -> Talk:
    path = tmp_path_factory.mktemp("talk") / "talk.vtt"
    path.write_text(_CAPTIONS, encoding="utf-8")
    return Reader(vocabulary, None).understand(transcript_of([path]))


def test_every_word_has_its_place(talk: Talk, vocabulary: Vocabulary) -> None:
    for variant in variants(talk, vocabulary, 20, "any"):
        assert sorted(variant.order) == list(range(len(talk.doc)))
        assert len(variant.words) == len(variant.order)


def test_the_same_seed_gives_the_same_words(talk: Talk, vocabulary: Vocabulary) -> None:
    assert variants(talk, vocabulary, 3, "a") == variants(talk, vocabulary, 3, "a")
    assert variants(talk, vocabulary, 3, "a") != variants(talk, vocabulary, 3, "b")


def test_a_number_is_changed_alike_everywhere(talk: Talk, vocabulary: Vocabulary) -> None:
    places = [token.i for token in talk.doc if token.lower_ == "four"]
    assert len(places) == 2
    seen = set()
    for variant in variants(talk, vocabulary, 20, "numbers"):
        said = {variant.words[variant.order.index(place)] for place in places}
        assert len(said) == 1
        seen |= said
    assert len(seen) > 3


def test_a_condition_comes_behind_in_some(talk: Talk, vocabulary: Vocabulary) -> None:
    firsts = {variant.order[0] for variant in variants(talk, vocabulary, 30, "turned")}
    assert firsts > {0}


@pytest.mark.parametrize(
    ("labels", "order", "expected"),
    [
        (["B-deed", "I-deed", "O"], [0, 1, 2], ["B-deed", "I-deed", "O"]),
        (["B-", "I-", "O"], [0, 2, 1], ["B-", "O", "B-"]),
        (["B-", "I-", "I-"], [1, 2, 0], ["B-", "I-", "I-"]),
        (["B-", "B-", "I-"], [1, 2, 0], ["B-", "I-", "B-"]),
        (["no", "yes", "-"], [2, 0, 1], ["-", "no", "yes"]),
    ],
    ids=["as it was", "a stretch parted", "a stretch turned about", "two stretches changed about", "no stretches"],
)
def test_labels_move_with_their_words(labels: list[str], order: list[int], expected: list[str]) -> None:
    assert moved(labels, order) == expected
