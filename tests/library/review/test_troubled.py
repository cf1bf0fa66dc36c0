"""Deciding and publishing on a full disk, in a locked library and by a clock that is set back."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.audit.journal import entries, head, verify
from vouchbook.library.editions.due import due
from vouchbook.library.editions.publish import publish
from vouchbook.library.editions.shelf import shelf
from vouchbook.library.editions.withdraw import withdraw
from vouchbook.library.keeping.check import check
from vouchbook.library.open import Library, open_library
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.settle import draft_questions, settle
from vouchbook.library.store.tables import DraftRow, ItemRow
from vouchbook.library.visits.bring import bring
from vouchbook.library.visits.visits import new_key
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.draft import Draft
from vouchbook.models.errors import StoreError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
Act = Callable[[Work], object]
CUE, DANGER, STEP = 1, 2, 3
CONFIRMED = Judgement(verdict="confirmed")
ON_SQLITE = pytest.mark.parametrize("where", ["sqlite"], indirect=True)
YEARS = timedelta(days=4000)


@pytest.fixture
def on_table(library: Library, staff: Staff, visit: Visit, draft: Draft) -> int:
    """A draft that is decided but for its step; a decision on its cue is there to take back."""
    draft_id = bring(library, staff["officer"], visit, draft).draft_id
    decide_on(library, staff, draft_id, CUE, DANGER)
    return draft_id


def decide_on(library: Library, staff: Staff, draft_id: int, *positions: int) -> None:
    """Confirms the items at these places of a draft, by as many people as they need, and settles its questions."""
    for who in ("reviewer", "second"):
        with library.work(staff[who]) as work:
            for place, item in enumerate(draft_items(work.session, draft_id), 1):
                if place in positions and item.state.name in ("open", "waits for a second person"):
                    decide(work, item.item_id, item.version, CONFIRMED)
    with library.work(staff["reviewer"]) as work:
        for question in draft_questions(work.session, draft_id):
            if question.settled is None:
                settle(work, question.question_id, question.version, Answer(outcome="not needed"))


def acts(library: Library, staff: Staff, kind: str) -> tuple[Actor, Act]:
    """Who does it, and what; before a publication the last item is decided."""
    if kind == "decide":
        return staff["second"], lambda work: decide(work, STEP, 1, CONFIRMED)
    if kind == "undo":
        return staff["reviewer"], lambda work: undo(work, CUE, 2)
    decide_on(library, staff, 1, STEP)
    return staff["archivist"], lambda work: publish(work, 1)


def stands(library: Library) -> tuple[object, ...]:
    """Everything that deciding and publishing change."""
    with library.reading() as session:
        items = [(row.id, row.version, row.state) for row in session.scalars(select(ItemRow).order_by(ItemRow.id))]
        drafts = [(row.id, row.state) for row in session.scalars(select(DraftRow).order_by(DraftRow.id))]
        return items, drafts, [one.id for one in shelf(session)], head(session)


@ON_SQLITE
@pytest.mark.parametrize("kind", ["decide", "undo", "publish"])
def test_on_a_full_disk_nothing_comes_about_and_with_room_it_does(
    library: Library, staff: Staff, on_table: int, full_at: Callable[[int], None], kind: str
) -> None:
    assert on_table == 1
    who, act = acts(library, staff, kind)
    before = stands(library)
    full_at(1)
    with pytest.raises(StoreError, match=r"full|could not be read or written"), library.work(who) as work:
        act(work)
    assert stands(library) == before
    full_at(0)
    assert stands(library) == before
    with library.work(who) as work:
        act(work)
    assert stands(library) != before
    assert check(library).is_sound


@pytest.mark.parametrize("kind", ["decide", "undo", "publish"])
def test_in_a_locked_library_it_says_busy_and_comes_about_later(
    library: Library, staff: Staff, on_table: int, where: str, media: Path, kind: str
) -> None:
    assert on_table == 1
    who, act = acts(library, staff, kind)
    before = stands(library)
    with open_library(where, media=media, clock=library.clock, busy_s=0.2) as other:
        with library.work(staff["officer"]):
            with pytest.raises(StoreError, match="busy"), other.work(who) as work:
                act(work)
            assert stands(other) == before  # who only reads does not wait
        with other.work(who) as work:
            act(work)
    assert stands(library) != before
    assert check(library).is_sound


def test_decisions_count_in_the_order_in_which_they_were_taken_whatever_the_clock_says(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    bring(library, staff["officer"], visit, draft)
    with library.work(staff["reviewer"]) as work:
        first = decide(work, DANGER, 1, CONFIRMED)
    library.clock.at -= YEARS  # type: ignore[attr-defined]
    with library.work(staff["second"]) as work:
        second = decide(work, DANGER, first.version, CONFIRMED)
        assert second.state.name == "confirmed"
        assert [one.by for one in second.decisions] == [staff["reviewer"].person, staff["second"].person]
        assert second.decisions[1].at < second.decisions[0].at
    with library.work(staff["second"]) as work:
        assert undo(work, DANGER, second.version).state.name == "waits for a second person"
    with library.reading() as session:
        behind = [entry.body.get("clock_behind_s") for entry in entries(session) if entry.what == "item"]
        assert [bool(seconds) for seconds in behind][:2] == [False, True]
        assert verify(session) is None
    assert check(library).is_sound


def test_what_is_published_by_a_clock_that_is_set_back_is_in_force_and_due_at_once(
    library: Library, staff: Staff, on_table: int, visit: Visit, drafted: Callable[..., Draft]
) -> None:
    """Too early is looked at again; the numbers, not the times, say which edition is the newest."""
    decide_on(library, staff, on_table, STEP)
    with library.work(staff["archivist"]) as work:
        first = publish(work, on_table)
    today = library.clock().date()
    library.clock.at -= YEARS  # type: ignore[attr-defined]
    later = bring(library, staff["officer"], visit.model_copy(update={"key": new_key()}), drafted("e" * 64, "captions"))
    decide_on(library, staff, later.draft_id, CUE, DANGER, STEP)
    with library.work(staff["archivist"]) as work:
        second = publish(work, later.draft_id)
    assert (second.edition.number, second.edition.replaces) == (2, 1)
    assert second.edition.reverify_on < today < first.edition.reverify_on
    with library.reading() as session:
        assert {one.number: one.state for one in shelf(session)} == {1: "replaced", 2: "in force"}
        assert [one.edition.number for one in due(session, today)] == [2]
        assert verify(session) is None
    with library.work(staff["archivist"]) as work:
        withdraw(work, second.edition_id, "the clock was wrong")
    with library.reading() as session:
        assert {one.number: one.state for one in shelf(session)} == {1: "in force", 2: "withdrawn"}
    assert check(library).is_sound
