from typing import Any

import pytest
from sqlalchemy import select, text

from vouchbook.library.audit.journal import entries_about, verify
from vouchbook.library.keeping.removal import hide
from vouchbook.library.open import Library
from vouchbook.library.people.people import set_roles
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.plays import Played, report
from vouchbook.library.review.rules import Department
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.settings import set_department
from vouchbook.library.store.tables import DecisionRow, ItemRow
from vouchbook.library.visits.drafts import set_aside
from vouchbook.models.decisions import FieldValue, Judgement
from vouchbook.models.errors import ConflictError, LibraryError, NotAllowedError, NotFoundError
from vouchbook.models.people import THE_LIBRARY, Actor

Staff = dict[str, Actor]
CUE, DANGER, STEP = 1, 2, 3
CONFIRMED = Judgement(verdict="confirmed")
REJECTED = Judgement(verdict="rejected", reason="unsafe")


def amended(**words: FieldValue) -> Judgement:
    return Judgement(verdict="amended", words=words)


def act(library: Library, who: Actor, item: int, what: Judgement | None, seen: int | None = None) -> str:
    """Decides, or takes back where ``what`` is None; gives the state."""
    with library.work(who) as work:
        seen = work.session.get_one(ItemRow, item).version if seen is None else seen
        done = undo(work, item, seen) if what is None else decide(work, item, seen, what)
        return done.state.name


@pytest.mark.parametrize(
    ("item", "acts", "state"),
    [
        pytest.param(CUE, [("reviewer", CONFIRMED)], "confirmed", id="confirmed"),
        pytest.param(CUE, [("reviewer", REJECTED)], "rejected", id="rejected"),
        pytest.param(CUE, [("reviewer", amended(text="three green stripes"))], "waits for a second person",
                     id="number"),
        pytest.param(CUE, [("reviewer", amended(text="two stripes, green"))], "amended", id="amended"),
        pytest.param(CUE, [("reviewer", CONFIRMED), ("reviewer", None)], "open", id="taken-back"),
        pytest.param(CUE, [("reviewer", CONFIRMED), ("reviewer", None), ("second", REJECTED)], "rejected", id="anew"),
        pytest.param(DANGER, [("reviewer", CONFIRMED)], "waits for a second person", id="danger"),
        pytest.param(DANGER, [("reviewer", CONFIRMED), ("second", CONFIRMED)], "confirmed", id="danger-by-two"),
        pytest.param(DANGER, [("reviewer", CONFIRMED), ("second", REJECTED)], "open", id="they-disagree"),
        pytest.param(DANGER, [("reviewer", CONFIRMED), ("second", CONFIRMED), ("second", None)],
                     "waits for a second person", id="second-taken-back"),
        pytest.param(STEP, [("reviewer", CONFIRMED)], "waits for a second person", id="doubtful-words"),
    ],
)  # fmt: skip
def test_decisions_bring_an_item_somewhere(
    library: Library, staff: Staff, on_table: int, item: int, acts: list[tuple[str, Judgement | None]], state: str
) -> None:
    for who, what in acts:
        last = act(library, staff[who], item, what)
    with library.reading() as session:
        row = session.get_one(ItemRow, item)
        assert (last, row.state, row.version) == (state, state, 1 + len(acts))
        assert len(entries_about(session, "item", str(item))) == len(acts)
        assert verify(session) is None
        assert draft_items(session, on_table)[item - 1].state.name == state


def test_what_is_amended_shows_the_new_words_and_keeps_what_was_read(
    library: Library, staff: Staff, on_table: int
) -> None:
    for who in ("reviewer", "second"):
        act(library, staff[who], STEP, amended(object="red plug"))
    with library.reading() as session:
        item = draft_items(session, on_table)[STEP - 1]
        assert item.case.as_read["object"] == "grey plug"
        assert item.quotes[0].quote == "Pull the grey plug straight out with the insulated tongs."
        assert [decision.words for decision in item.state.counted] == [{"object": "red plug"}] * 2


@pytest.mark.parametrize(
    ("judgement", "typed", "kinds"),
    [
        pytest.param(None, "stripes", [("cue", "open"), (None, None)], id="open"),
        pytest.param(CONFIRMED, "stripes is:confirmed", [("cue", "confirmed")], id="confirmed"),
        pytest.param(REJECTED, "stripes is:confirmed", [], id="rejected"),
        pytest.param(amended(text="green bands"), "bands is:confirmed", [("cue", "amended")], id="new-words"),
        pytest.param(amended(text="green bands"), "stripes kind:cue", [], id="old-words"),
    ],
)
def test_search_knows_at_once(
    library: Library, staff: Staff, on_table: int, judgement: Judgement | None, typed: str, kinds: list[Any]
) -> None:
    assert on_table
    if judgement is not None:
        with library.work(staff["administrator"]) as work:
            set_department(work, Department(is_one_person=True))
        act(library, staff["reviewer"], CUE, judgement)
    with library.reading() as session:
        found = find(session.connection(), parse(typed))
        assert [(one.item_kind, one.item_state) for one in found.results] == kinds


@pytest.mark.parametrize(
    ("who", "judgement", "said"),
    [
        pytest.param("officer", CONFIRMED, "only a reviewer", id="not-a-reviewer"),
        pytest.param("administrator", CONFIRMED, "only a reviewer", id="not-an-administrator"),
        pytest.param("reviewer", amended(count=2), "no count", id="field-of-another-kind"),
        pytest.param("reviewer", amended(text="two green stripes"), "nothing is amended", id="no-other-words"),
        pytest.param("reviewer", amended(text=" "), "text is empty", id="no-words"),
    ],
)
def test_what_may_not_be_decided(
    library: Library, staff: Staff, on_table: int, who: str, judgement: Judgement, said: str
) -> None:
    assert on_table
    with pytest.raises(NotAllowedError, match=said):
        act(library, staff[who], CUE, judgement)
    with library.reading() as session:
        assert session.get_one(ItemRow, CUE).version == 1
        assert session.scalars(select(DecisionRow)).all() == []


def test_the_library_by_itself_vouches_for_nothing(library: Library, on_table: int) -> None:
    assert on_table
    with pytest.raises(NotAllowedError, match="only a person"):
        act(library, THE_LIBRARY, CUE, CONFIRMED)


def test_whoever_saw_an_older_version_is_told_what_happened(library: Library, staff: Staff, on_table: int) -> None:
    assert on_table
    act(library, staff["reviewer"], DANGER, CONFIRMED, seen=1)
    with pytest.raises(ConflictError, match=r"item i2: confirmed by Runa at \d\d:\d\d:\d\d UTC, since you saw it"):
        act(library, staff["second"], DANGER, REJECTED, seen=1)
    assert act(library, staff["second"], DANGER, CONFIRMED, seen=2) == "confirmed"


@pytest.mark.parametrize(
    ("acts", "error", "said"),
    [
        pytest.param([("reviewer", CONFIRMED), ("second", CONFIRMED)], ConflictError, "take that", id="decided"),
        pytest.param([("second", None)], ConflictError, "nothing to do", id="nothing-to-take-back"),
        pytest.param([("reviewer", CONFIRMED), ("second", None)], ConflictError, "nothing to do", id="not-theirs"),
    ],
)
def test_what_comes_too_late_or_too_early(
    library: Library, staff: Staff, on_table: int, acts: list[Any], error: type[LibraryError], said: str
) -> None:
    assert on_table
    *before, (who, what) = acts
    for person, judgement in before:
        act(library, staff[person], CUE, judgement)
    with pytest.raises(error, match=f"(?i){said}"):
        act(library, staff[who], CUE, what)


def test_one_person_never_counts_as_two(library: Library, staff: Staff, on_table: int) -> None:
    assert on_table
    act(library, staff["reviewer"], DANGER, CONFIRMED)
    with pytest.raises(NotAllowedError, match=r"you decided this .* danger warning\. Another person"):
        act(library, staff["reviewer"], DANGER, CONFIRMED)


def test_an_administrator_takes_back_what_others_decided(library: Library, staff: Staff, on_table: int) -> None:
    assert on_table
    act(library, staff["reviewer"], CUE, CONFIRMED)
    for who in ("second", "administrator"):
        if who == "second":
            with pytest.raises(NotAllowedError, match="your own"), library.work(staff[who]) as work:
                undo(work, CUE, 2, whose=3)
            continue
        with library.work(staff[who]) as work:
            assert undo(work, CUE, 2, whose=3).state.name == "open"
    with library.reading() as session:
        told = entries_about(session, "item", "1")[-1]
        assert (told.act, told.person, told.body["whose"]) == ("took back", 1, 3)


def test_who_drafted_it_needs_another_person(library: Library, staff: Staff, on_table: int) -> None:
    assert on_table
    with library.work(staff["administrator"]) as work:
        set_roles(work, 2, ["officer", "reviewer"])
    assert act(library, staff["officer"], CUE, CONFIRMED) == "waits for a second person"
    assert act(library, staff["reviewer"], CUE, CONFIRMED) == "confirmed"


@pytest.mark.parametrize(
    ("item", "judgement", "played"),
    [
        pytest.param(DANGER, CONFIRMED, [(6, 9), (9, 12)], id="danger"),
        pytest.param(STEP, REJECTED, [], id="doubtful-words-rejected"),
        pytest.param(CUE, CONFIRMED, [], id="neither"),
    ],
)
def test_heard_before_vouched(
    library: Library, staff: Staff, heard_table: str, item: int, judgement: Judgement, played: list[tuple[float, float]]
) -> None:
    with library.work(staff["reviewer"]) as work:
        report(work, 1, [Played(sha256=heard_table, start_s=a, end_s=b) for a, b in played])
    act(library, staff["reviewer"], item, judgement)
    with library.reading() as session:
        assert entries_about(session, "item", str(item))[-1].body["heard"] == (item == DANGER)


@pytest.mark.parametrize(
    ("item", "judgement", "said"),
    [
        pytest.param(DANGER, CONFIRMED, "0:08 to 0:12", id="danger-half-heard"),
        pytest.param(DANGER, REJECTED, "0:08 to 0:12", id="danger-rejected-half-heard"),
        pytest.param(STEP, CONFIRMED, "not heard", id="doubtful-words"),
    ],
)
def test_nobody_vouches_for_what_they_did_not_hear(
    library: Library, staff: Staff, heard_table: str, item: int, judgement: Judgement, said: str
) -> None:
    with library.work(staff["reviewer"]) as work:
        report(work, 1, [Played(sha256=heard_table, start_s=6, end_s=8)])
    with pytest.raises(NotAllowedError, match=f"{said}.* Play it"):
        act(library, staff["reviewer"], item, judgement)


def test_what_another_heard_counts_nothing(library: Library, staff: Staff, heard_table: str) -> None:
    with library.work(staff["second"]) as work:
        report(work, 1, [Played(sha256=heard_table, start_s=0, end_s=30)])
    with pytest.raises(NotAllowedError, match="not heard"):
        act(library, staff["reviewer"], DANGER, CONFIRMED)


@pytest.mark.parametrize(
    ("visit_id", "recording", "said"),
    [pytest.param(1, "e" * 64, "none of that hash", id="recording"), pytest.param(2, None, "visit 2", id="visit")],
)
def test_plays_are_of_a_recording_of_the_visit(
    library: Library, staff: Staff, heard_table: str, visit_id: int, recording: str | None, said: str
) -> None:
    with pytest.raises(NotFoundError, match=said), library.work(staff["reviewer"]) as work:
        report(work, visit_id, [Played(sha256=recording or heard_table, start_s=0, end_s=30)])


def test_a_recording_that_was_removed_need_not_be_heard(library: Library, staff: Staff, heard_table: str) -> None:
    with library.work(THE_LIBRARY) as work:
        work.session.execute(text("UPDATE medium SET removed_at = :at, removed_reason = 'asked'"), {"at": work.at})
        work.journal("removed", "medium", heard_table)
    with pytest.raises(ConflictError, match="removed"), library.work(staff["reviewer"]) as work:
        report(work, 1, [Played(sha256=heard_table, start_s=0, end_s=30)])
    assert act(library, staff["reviewer"], DANGER, CONFIRMED) == "waits for a second person"


def test_nobody_says_that_they_heard_what_is_hidden_from_them(library: Library, staff: Staff, heard_table: str) -> None:
    with library.work(staff["archivist"]) as work:
        hide(work, heard_table, "consent withdrawn")
    with (
        pytest.raises(NotAllowedError, match=r"it is hidden \(consent withdrawn\)"),
        library.work(staff["reviewer"]) as work,
    ):
        report(work, 1, [Played(sha256=heard_table, start_s=0, end_s=30)])
    with library.work(staff["archivist"]) as work:
        assert report(work, 1, [Played(sha256=heard_table, start_s=0, end_s=30)]) == 1


def test_nobody_decides_on_a_draft_that_was_set_aside(library: Library, staff: Staff, on_table: int) -> None:
    with library.work(staff["officer"]) as work:
        set_aside(work, on_table, "heard badly")
    with pytest.raises(ConflictError, match="it is set aside"):
        act(library, staff["reviewer"], CUE, CONFIRMED)
