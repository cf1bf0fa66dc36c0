"""Which words tell a place, how far it reaches, and what is no place."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.phrases import first_place, noun_phrase, text_of, thing, with_of
from vouchbook.extract.read.places import is_place_only, place_text
from vouchbook.extract.read.talk import Talk

PLACES = [
    "Behind the front wheel.", "Under the seat.", "Driver's footwell.", "Top left.", "My left.", "Waist height.",
    "Left of the door.", "Right behind this panel.", "Inside.", "On the roof of the cab.", "Rear offside corner.",
    "At that end.",
]  # fmt: skip


@pytest.mark.parametrize("said", PLACES)
def test_a_place_without_a_verb_is_told_in_its_own_words(understand: Callable[..., Talk], said: str) -> None:
    talk = understand(said)
    (clause,) = talk.sentences[0].clauses
    assert is_place_only(talk, clause)
    assert place_text(talk, clause.body, clause.end) == said[0].lower() + said[1:-1]


NO_PLACES = [
    ("In your face.", "a body"),
    ("On its own.", "a manner"),
    ("In a minute.", "a time"),
    ("In the morning.", "a time"),
    ("On it.", "a pronoun"),
    ("From there.", "a pronoun"),
    ("With a bolt.", "a means"),
    ("On the move.", "a state"),
    ("On fire.", "a state"),
    ("In the manual.", "a book"),
]


@pytest.mark.parametrize(("said", "why"), NO_PLACES, ids=[f"{row[0]} {row[1]}" for row in NO_PLACES])
def test_what_only_begins_like_a_place_is_none(understand: Callable[..., Talk], said: str, why: str) -> None:
    talk = understand(said)
    (clause,) = talk.sentences[0].clauses
    assert not is_place_only(talk, clause), why
    assert place_text(talk, clause.body, clause.end) is None, why


@pytest.mark.parametrize("said", ["It's behind the panel.", "The battery door.", "Next time.", "Lift the seat."])
def test_a_statement_or_a_thing_is_no_place_alone(understand: Callable[..., Talk], said: str) -> None:
    talk = understand(said)
    assert not any(is_place_only(talk, clause) for clause in talk.sentences[0].clauses)


@pytest.mark.parametrize(
    ("said", "place"),
    [
        pytest.param("behind the panel three bolts hold it", "behind the panel", id="a-number-out-of-nowhere"),
        pytest.param("under the seat there is a tap", "under the seat", id="there-is"),
        pytest.param("on the left you have a box", "on the left", id="you-have"),
        pytest.param("between the two doors", "between the two doors", id="a-number-that-counts"),
    ],
)
def test_a_place_ends_where_captions_run_into_the_next_thing(
    understand: Callable[..., Talk], said: str, place: str
) -> None:
    talk = understand(said)
    assert place_text(talk, 0, len(talk.doc)) == place


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("Put it under the seat.", "under the seat"),
        ("Lift it off the rail.", "off the rail"),
        ("Take it off.", None),
        ("Lift it up slowly.", None),
        ("Use the left side of the frame.", "the left side of the frame"),
        ("Turn the right size.", None),
    ],
)
def test_a_place_opens_with_a_word_that_leads_to_a_thing(
    understand: Callable[..., Talk], said: str, place: str | None
) -> None:
    talk = understand(said)
    end = len(talk.doc) - 1
    begins = first_place(talk.doc, 0, end)
    assert (talk.doc[begins:end].text if begins is not None else None) == place


@pytest.mark.parametrize(
    ("said", "phrase", "whole", "name"),
    [
        ("The two little black levers.", "The two little black levers", "The two little black levers",
         "two little black levers"),
        ("The lid of the battery box.", "The lid", "The lid of the battery box", "lid"),
        ("The bolted cover.", "The bolted cover", "The bolted cover", "bolted cover"),
        ("The big one.", "The big one", "The big one", "big one"),
        ("The cover your mate took.", "The cover", "The cover", "cover"),
        ("Press it.", "", "", ""),
    ],
)  # fmt: skip
def test_a_noun_phrase_is_told_by_its_tags(
    understand: Callable[..., Talk], said: str, phrase: str, whole: str, name: str
) -> None:
    doc = understand(said).doc
    stop = noun_phrase(doc, 0, len(doc))
    assert doc[:stop].text == phrase
    assert doc[: with_of(doc, 0, len(doc))].text == whole
    assert thing(doc, 0, stop) == name


@pytest.mark.parametrize(
    ("said", "text"),
    [("Lift it.", "lift it"), ("PV isolator.", "PV isolator"), (", the lid,", "the lid"), ("The lid.", "the lid")],
)
def test_a_field_has_no_outer_punctuation_and_no_opening_capital(
    understand: Callable[..., Talk], said: str, text: str
) -> None:
    doc = understand(said).doc
    assert text_of(doc, 0, len(doc)) == text
