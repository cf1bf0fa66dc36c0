from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError
from sqlalchemy import select, text

from vouchbook.library.audit.journal import entries_about, verify
from vouchbook.library.editions.publish import publish
from vouchbook.library.editions.withdraw import withdraw
from vouchbook.library.known.stored import borrow_candidates, edition_lent, findings
from vouchbook.library.open import Library
from vouchbook.library.review.by_hand import HandItem, add_by_hand, borrow, take_out
from vouchbook.library.review.cases import DraftItem, draft_items
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.settle import draft_questions, settle
from vouchbook.library.review.witness import altered_in_draft
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.store.open import writer_of
from vouchbook.library.store.tables import SentenceRow
from vouchbook.library.visits.drafts import add_draft
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.draft import Draft
from vouchbook.models.editions import Bonds
from vouchbook.models.errors import ConflictError, LibraryError, NotAllowedError, NotFoundError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
CONFIRMED = Judgement(verdict="confirmed")
STEP = {"phase": "disable", "action": "lift", "object": "seat"}
TOOL = {"phase": "identify", "name": "torch"}
WARNING = {"phase": "disable", "text": "the seat is heavy", "hazard": "crush", "signal": "caution"}
GUIDE = "maker's guide, page 12"


def hand(kind: str, fields: dict[str, Any], **more: Any) -> HandItem:  # noqa: ANN401
    basis = {} if "first_word" in more else {"source_note": GUIDE}
    return HandItem.model_validate({"kind": kind, "fields": fields, **basis, **more})


def add(library: Library, who: Actor, draft_id: int, item: HandItem) -> DraftItem:
    with library.work(who) as work:
        return add_by_hand(work, draft_id, item)


def keys(library: Library, draft_id: int) -> str:
    with library.reading() as session:
        return " ".join(item.case.key for item in draft_items(session, draft_id))


@pytest.mark.parametrize(
    ("item", "order"),
    [
        pytest.param(hand("tool", TOOL), "i1 i4 i2 i3", id="behind-its-topic"),
        pytest.param(hand("tool", TOOL | {"phase": "towing"}), "i1 i2 i3 i4", id="a-last-topic"),
        pytest.param(hand("tool", TOOL | {"phase": "immobilise"}), "i1 i4 i2 i3", id="a-topic-between"),
        pytest.param(hand("tool", TOOL, after="i2"), "i1 i2 i4 i3", id="where-it-is-put"),
        pytest.param(hand("warning", WARNING), "i1 i4 i2 i3", id="a-warning-before-its-topic"),
        pytest.param(hand("warning", WARNING, bonds=Bonds(guards=("i3",))), "i1 i2 i4 i3", id="before-what-it-guards"),
        pytest.param(hand("step", STEP, bonds=Bonds(branch="if it sticks", instead_of=("i3",))), "i1 i2 i3 i4",
                     id="another-way-behind"),
    ],
)  # fmt: skip
def test_an_item_goes_where_it_belongs(
    library: Library, staff: Staff, on_table: int, item: HandItem, order: str
) -> None:
    assert add(library, staff["reviewer"], on_table, item).case.key == "i4"
    assert keys(library, on_table) == order


@pytest.mark.parametrize(
    ("item", "error", "said"),
    [
        pytest.param(hand("warning", WARNING, bonds=Bonds(guards=("i3",)), after="i3"), ConflictError, "behind a step",
                     id="warning-too-late"),
        pytest.param(hand("step", STEP, bonds=Bonds(branch="if", instead_of=("i3",)), after="i1"), ConflictError,
                     "before a step that it replaces", id="another-way-too-early"),
        pytest.param(hand("warning", WARNING, bonds=Bonds(guards=("i1",))), NotFoundError, "no step of that key",
                     id="guards-no-step"),
        pytest.param(hand("tool", TOOL, after="i9"), NotFoundError, "none of that key", id="behind-nothing"),
        pytest.param(hand("tool", TOOL, first_word=0, last_word=99), NotFoundError, "words 0 to", id="no-such-words"),
        pytest.param(hand("tool", TOOL | {"size": "13 mm"}, first_word=0, last_word=3), NotAllowedError,
                     "nobody says 13 mm", id="a-size-that-nobody-said"),
        pytest.param(hand("tool", TOOL | {"count": 4}, first_word=0, last_word=11), NotAllowedError,
                     "nobody says 4", id="a-count-that-nobody-said"),
    ],
)  # fmt: skip
def test_what_cannot_be_added(
    library: Library, staff: Staff, on_table: int, item: HandItem, error: type[LibraryError], said: str
) -> None:
    with pytest.raises(error, match=said):
        add(library, staff["reviewer"], on_table, item)
    assert keys(library, on_table) == "i1 i2 i3"


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        pytest.param({"source_note": None}, "rests on marked words", id="no-source"),
        pytest.param({"first_word": 1}, "a first and a last", id="half-a-range"),
        pytest.param({"first_word": 1, "last_word": 2}, "or names a source", id="both"),
        pytest.param({"fields": STEP | {"action": "never lift"}}, "is a warning", id="a-prohibition"),
        pytest.param({"bonds": {"guards": ("i3",)}}, "only a warning guards", id="a-step-that-guards"),
    ],
)
def test_an_item_that_rests_on_nothing_cannot_exist(fields: dict[str, Any], said: str) -> None:
    basis = {"kind": "step", "fields": STEP, "source_note": GUIDE}
    with pytest.raises(ValidationError, match=said):
        HandItem.model_validate(basis | fields)


def test_marked_words_are_its_evidence(library: Library, staff: Staff, heard_table: str) -> None:
    """A count that is said may stand; the item is heard where the words were said, and found by its words."""
    fields = {"phase": "identify", "name": "stripe", "count": 2}
    item = add(library, staff["officer"], 1, hand("tool", fields, first_word=10, last_word=12))
    assert (item.case.origin, item.quotes[0].quote) == ("by hand", "two green stripes.")
    assert item.case.can_be_heard
    with library.reading() as session:
        (row,) = session.scalars(select(SentenceRow).where(SentenceRow.item_id == item.item_id))
        assert (row.sha256, row.start_s, row.voice, row.words) == (heard_table, 5.0, "Dov", "stripe · × 2")
        assert [one.item_id for one in find(session.connection(), parse("stripe kind:tool")).results] == [item.item_id]
        assert entries_about(session, "item", str(item.item_id))[0].act == "added by hand"
        assert (verify(session), list(altered_in_draft(session, 1))) == (None, [])


def test_two_people_decide_on_it_and_who_added_it_counts_once(library: Library, staff: Staff, on_table: int) -> None:
    item = add(library, staff["reviewer"], on_table, hand("tool", TOOL))
    for who, version, state in (("reviewer", 1, "waits for a second person"), ("second", 2, "confirmed")):
        with library.work(staff[who]) as work:
            assert decide(work, item.item_id, version, CONFIRMED).state.name == state


@pytest.mark.parametrize("who", ["archivist", "administrator"])
def test_items_are_added_by_reviewers_and_officers(library: Library, staff: Staff, on_table: int, who: str) -> None:
    with pytest.raises(NotAllowedError, match="only a reviewer or an officer"):
        add(library, staff[who], on_table, hand("tool", TOOL))


def test_an_added_item_that_somebody_changes_in_the_database_is_found(
    library: Library, staff: Staff, on_table: int
) -> None:
    add(library, staff["reviewer"], on_table, hand("tool", TOOL))
    with library.work(staff["administrator"]) as work:
        cast = "record" if library.url.get_backend_name() == "sqlite" else "record::text"
        change = f"UPDATE item SET record = replace({cast}, 'torch', 'saw')"  # noqa: S608  two words of ours
        work.session.execute(text(change + ("" if cast == "record" else "::json")))
    with library.reading() as session:
        assert list(altered_in_draft(session, on_table)) == [("i4", "it is not what was read or added")]


@pytest.mark.parametrize("who", ["reviewer", "administrator"])
def test_what_was_added_is_taken_out_again(library: Library, staff: Staff, on_table: int, who: str) -> None:
    """Also after its decision was taken back; the journal tells of all of it, and search finds it no more."""
    item = add(library, staff["reviewer"], on_table, hand("tool", TOOL))
    with library.work(staff["reviewer"]) as work:
        decide(work, item.item_id, 1, CONFIRMED)
    with pytest.raises(ConflictError, match="somebody has decided on it"), library.work(staff[who]) as work:
        take_out(work, item.item_id, 2)
    with library.work(staff["reviewer"]) as work:
        undo(work, item.item_id, 2)
    with library.work(staff[who]) as work:
        assert take_out(work, item.item_id, 3) == "i4"
    assert keys(library, on_table) == "i1 i2 i3"
    with library.reading() as session:
        assert find(session.connection(), parse("torch")).results == ()
        acts = [entry.act for entry in entries_about(session, "item", str(item.item_id))]
        assert acts == ["added by hand", "confirmed", "took back", "took out"]
        assert (verify(session), list(altered_in_draft(session, on_table))) == (None, [])


def test_what_is_not_taken_out(library: Library, staff: Staff, on_table: int) -> None:
    step = add(library, staff["reviewer"], on_table, hand("step", STEP))
    add(library, staff["reviewer"], on_table, hand("warning", WARNING, bonds=Bonds(guards=(step.case.key,))))
    for who, number, seen, error, said in (
        ("reviewer", 1, 1, NotAllowedError, "it was read in the talk"),
        ("second", step.item_id, 1, NotAllowedError, "somebody else added it"),
        ("reviewer", step.item_id, 1, ConflictError, "i5 names it"),
        ("reviewer", step.item_id, 7, ConflictError, "since you saw it"),
        ("reviewer", 99, 1, NotFoundError, "item 99"),
    ):
        with pytest.raises(error, match=said), library.work(staff[who]) as work:
            take_out(work, number, seen)
    assert keys(library, on_table) == "i1 i2 i3 i5 i4"


def test_an_added_item_that_somebody_deletes_in_the_database_is_found(
    library: Library, staff: Staff, on_table: int
) -> None:
    item = add(library, staff["reviewer"], on_table, hand("tool", TOOL))
    with writer_of(library.engine).begin() as connection:
        for table, column in (("sentence", "item_id"), ("item", "id")):
            connection.execute(text(f"DELETE FROM {table} WHERE {column} = {item.item_id}"))  # noqa: S608  ours
    with library.reading() as session:
        assert list(altered_in_draft(session, on_table)) == [("i4", "it was added and is not here")]


@pytest.fixture
def tables(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Callable[..., Draft]
) -> tuple[int, int]:
    """A published draft, and one of the next visit to the same machine that does not know the cable."""
    guarded = draft.items[1].model_copy(update={"guards": ("i3",)})
    first = draft.model_copy(update={"items": (draft.items[0], guarded, draft.items[2])})
    with library.work(staff["officer"]) as work:
        one = add_draft(work, add_visit(work, visit), first).draft_id
    for who in ("reviewer", "second"):
        with library.work(staff[who]) as work:
            for item in draft_items(work.session, one):
                if item.state.name != "confirmed":
                    decide(work, item.item_id, item.version, CONFIRMED)
    with library.work(staff["reviewer"]) as work:
        for question in draft_questions(work.session, one):
            settle(work, question.question_id, 1, Answer(outcome="not needed"))
    with library.work(staff["archivist"]) as work:
        publish(work, one)
    other = drafted("e" * 64, "captions")
    asks = other.open_questions[0].model_copy(update={"kind": "borrowed", "about": "the orange cable, as last time"})
    other = other.model_copy(update={"items": (other.items[0], other.items[2]), "open_questions": (asks,)})
    again = visit.model_copy(update={"key": new_key(), "held_on": date(2031, 3, 2)})
    with library.work(staff["officer"]) as work:
        return one, add_draft(work, add_visit(work, again), other).draft_id


def test_a_draft_is_held_against_the_editions_in_force(library: Library, staff: Staff, tables: tuple[int, int]) -> None:
    with library.reading() as session:
        assert [(one.what, one.there[0].item) for one in findings(session, tables[1])] == [("not mentioned", "i2")]
    with library.work(staff["archivist"]) as work:
        withdraw(work, 1, "wrong machine")
    with library.reading() as session:
        assert findings(session, tables[1]) == ()


def test_what_was_amended_or_rejected_is_compared_as_it_stands(
    library: Library, staff: Staff, tables: tuple[int, int]
) -> None:
    with library.reading() as session:
        cue = draft_items(session, tables[1])[0]
    with library.work(staff["reviewer"]) as work:
        decide(work, cue.item_id, 1, Judgement(verdict="rejected", reason="wrong words heard"))
    with library.reading() as session:
        assert [one.there[0].item for one in findings(session, tables[1])] == ["i2", "i1"]


def test_what_was_left_to_another_visit_is_borrowed_by_decision(
    library: Library, staff: Staff, visit: Visit, tables: tuple[int, int]
) -> None:
    with library.reading() as session:
        question = draft_questions(session, tables[1])[0]
        assert question.kind == "borrowed"
        candidates = [one.borrowed for one in borrow_candidates(session, question.question_id)]
        assert [(one.edition, one.visit, one.item) for one in candidates] == [(1, visit.key, "i3")]
        lent = [edition_lent(session, one) for one in candidates]
        with pytest.raises(NotFoundError, match="edition 7 of Halden"):
            edition_lent(session, candidates[0].model_copy(update={"edition": 7}))
    with library.work(staff["reviewer"]) as work:
        item = borrow(work, tables[1], lent[0], "i2")
    assert (item.case.origin, item.state.name, item.case.authors) == ("other source", "open", frozenset({2, 3}))
    assert item.borrowed is not None
    assert (item.borrowed.visit, item.borrowed.item) == (visit.key, "i2")
    assert item.quotes[0].quote == "Never cut the orange cable behind the seat, that kills you."
    assert item.bonds.guards == ("i3",)
    assert keys(library, tables[1]) == "i1 i4 i3"
    with library.work(staff["second"]) as work:
        assert decide(work, item.item_id, 1, CONFIRMED).state.name == "waits for a second person"
    with library.reading() as session:
        assert findings(session, tables[1]) == ()
        assert list(altered_in_draft(session, tables[1])) == []


@pytest.mark.parametrize(
    ("edition", "key", "said"),
    [
        pytest.param(1, "i9", "none of that key", id="item"),
        pytest.param(7, "i2", "edition 7: the library has none", id="edition"),
    ],
)
def test_what_cannot_be_borrowed(
    library: Library, staff: Staff, tables: tuple[int, int], edition: int, key: str, said: str
) -> None:
    with pytest.raises(NotFoundError, match=said), library.work(staff["reviewer"]) as work:
        borrow(work, tables[1], edition, key)


def test_nothing_is_borrowed_from_what_was_withdrawn(library: Library, staff: Staff, tables: tuple[int, int]) -> None:
    with library.work(staff["archivist"]) as work:
        withdraw(work, 1, "wrong machine")
    with pytest.raises(ConflictError, match="it was withdrawn"), library.work(staff["reviewer"]) as work:
        borrow(work, tables[1], 1, "i2")
