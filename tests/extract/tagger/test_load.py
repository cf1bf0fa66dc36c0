"""The tagger that comes with the program: it loads, fits its card and the rules around it, and answers alike twice."""

import json
from importlib import resources

import numpy as np
import pytest

from vouchbook.extract.read.items.registry import KINDS
from vouchbook.extract.read.marked.weighing import EVIDENCE
from vouchbook.extract.tagger.labels import FEATURES, SAID
from vouchbook.extract.tagger.load import load_tagger
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.tagger import Tagger
from vouchbook.models.phases import Phase

_MOST_BYTES = 30_000_000
FOLDER = resources.files("vouchbook.extract.tagger")
WORDS = "so undo the two bolts with a ten mil socket , and never cut the orange cable .".split()


@pytest.fixture(scope="module")
def tagger() -> Tagger:
    return load_tagger()


def mark(tagger: Tagger, words: list[str]) -> Marks:
    return tagger.mark(words, [0] * len(words), [False] * len(words), [["-"] * len(FEATURES) for _ in words])


def test_it_is_loaded_once(tagger: Tagger) -> None:
    assert load_tagger() is tagger


def test_it_answers_each_word_with_probabilities(tagger: Tagger) -> None:
    marks = mark(tagger, WORDS)
    assert set(marks.tables) == set(tagger.card.heads())
    for head, table in marks.tables.items():
        assert table.shape == (len(WORDS), len(tagger.card.heads()[head]))
        assert table.sum(axis=1) == pytest.approx(np.ones(len(WORDS)), abs=1e-4)
        assert table.min() >= 0


def test_it_answers_the_same_twice(tagger: Tagger) -> None:
    once, twice = mark(tagger, WORDS), mark(tagger, WORDS)
    for head, table in once.tables.items():
        assert np.array_equal(table, twice.tables[head]), head


def test_it_takes_a_talk_of_several_windows_and_an_empty_one(tagger: Tagger) -> None:
    assert {len(table) for table in mark(tagger, WORDS * 40).tables.values()} == {40 * len(WORDS)}
    assert {len(table) for table in mark(tagger, []).tables.values()} == {0}


@pytest.mark.parametrize("word", ["", "x" * 5000, "漢字", "\u200b", "🔥", "�"], ids=repr)
def test_it_answers_whatever_the_word(tagger: Tagger, word: str) -> None:
    assert len(mark(tagger, ["lift", word, "it"]).tables["step"]) == 3


def test_it_tells_a_plain_order_from_a_plain_prohibition(tagger: Tagger) -> None:
    """Not how good it is, which is measured; only that the answers are not those of another word or question."""
    marks = mark(tagger, WORDS)
    deed, warns = marks.column("step", "B-deed", "I-deed"), marks.any("warning")
    undo, cut, socket = WORDS.index("undo"), WORDS.index("cut"), WORDS.index("socket")
    assert deed[undo] > deed[cut]
    assert warns[cut] > warns[undo]
    assert marks.column("tool", "B-name", "I-name").argmax() == socket


def test_the_card_knows_values_for_each_feature_and_says_what_it_is(tagger: Tagger) -> None:
    card = tagger.card
    assert set(card.feature_values) == set(FEATURES)
    assert all(card.feature_values.values())
    assert card.deeds[0] == SAID
    assert len(set(card.deeds)) == len(card.deeds) > 1
    assert set(card.heads()["phase"]) == {phase.value for phase in Phase}
    assert card.trained_on


def test_what_was_measured_and_what_it_cannot_do_is_written_on_the_card(tagger: Tagger) -> None:
    assert tagger.card.measured
    assert tagger.card.limits


def test_the_weighing_fits_what_is_weighed(tagger: Tagger) -> None:
    assert tagger.weighing.evidence == EVIDENCE
    assert set(tagger.weighing.kinds) == set(KINDS)
    for weights in tagger.weighing.kinds.values():
        assert len(weights.factors) == len(EVIDENCE)
        assert 0 < weights.least < 1


def test_the_weights_stay_small() -> None:
    assert len((FOLDER / "tagger.onnx").read_bytes()) < _MOST_BYTES


def test_word_pieces_are_neither_filled_up_nor_cut_off() -> None:
    pieces = json.loads((FOLDER / "word_pieces.json").read_text(encoding="utf-8"))
    assert pieces["padding"] is None
    assert pieces["truncation"] is None
