"""An edition that was looked at again: it stays as it is, is due later, and whoever reads it sees by whom and how."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Protocol

import pytest
from sqlalchemy import text

from vouchbook.library.audit.journal import entries_about, verify
from vouchbook.library.editions.due import due
from vouchbook.library.editions.publish import publish
from vouchbook.library.editions.shelf import altered, edition_of, shelved
from vouchbook.library.editions.statements import edition_lines
from vouchbook.library.editions.verify import take_back, verify_again
from vouchbook.library.editions.withdraw import withdraw
from vouchbook.library.keeping.arrivals import import_visit
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.unbag import verified as verified_bag
from vouchbook.library.keeping.visit_bag import export_visit
from vouchbook.library.keeping.whole import export_library, import_library
from vouchbook.library.open import Library
from vouchbook.library.people.people import add_person
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.decide import decide
from vouchbook.library.review.rules import Department
from vouchbook.library.review.settle import draft_questions, settle
from vouchbook.library.review.witness import altered_in_draft
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.settings import set_department
from vouchbook.library.store.open import writer_of
from vouchbook.library.visits.drafts import add_draft
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, LibraryError, NotAllowedError, NotFoundError, SettingError
from vouchbook.models.people import THE_LIBRARY, Actor, Role, actor_of
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
HOW = "looked at the machine at the depot"
LATER = datetime(2033, 3, 10, 9, tzinfo=UTC)


class Wound(Protocol):
    """The clock that the tests wind."""

    at: datetime


def put_on_shelf(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    with library.work(staff["officer"]) as work:
        number = add_draft(work, add_visit(work, visit), draft).draft_id
    for who in ("reviewer", "second"):
        with library.work(staff[who]) as work:
            for item in draft_items(work.session, number):
                if item.state.name in ("open", "waits for a second person"):
                    decide(work, item.item_id, item.version, Judgement(verdict="confirmed"))
    with library.work(staff["reviewer"]) as work:
        for question in draft_questions(work.session, number):
            settle(work, question.question_id, question.version, Answer(outcome="not needed"))
    with library.work(staff["archivist"]) as work:
        publish(work, number)


@pytest.fixture
def on_shelf(library: Library, staff: Staff, visit: Visit, draft: Draft, clock: Wound) -> None:
    """Edition 1, two years old and six days overdue."""
    put_on_shelf(library, staff, visit, draft)
    clock.at = LATER


def somebody(library: Library, *roles: Role) -> Actor:
    with library.work(THE_LIBRARY) as work:
        return actor_of(add_person(work, "vera", "Vera", roles))


def days_left(library: Library, on: date) -> list[int]:
    with library.reading() as session:
        return [one.days_left for one in due(session, on, 3660)]


@pytest.mark.usefixtures("on_shelf")
def test_it_is_due_later_and_stays_as_it_is(library: Library, staff: Staff) -> None:
    with library.reading() as session:
        before, said = shelved(session, 1), edition_of(session, 1)
        found_before = find(session.connection(), parse("plug")).results
    assert days_left(library, LATER.date()) == [-6]
    with library.work(staff["reviewer"]) as work:
        after = verify_again(work, 1, "  looked at the machine\n at the depot ")
    assert (after.state, after.content_sha256, after.reverify_on) == (
        "in force", before.content_sha256, date(2035, 3, 10),
    )  # fmt: skip
    (one,) = after.verified
    assert (one.by, one.how, one.at.date(), one.is_one_person) == ("Runa", HOW, LATER.date(), False)
    assert days_left(library, LATER.date()) == [730]
    with library.reading() as session:
        assert edition_of(session, 1) == said
        assert find(session.connection(), parse("plug")).results == found_before
        assert [entry.act for entry in entries_about(session, "edition", "1")] == ["published", "verified again"]
        assert HOW not in str(entries_about(session, "edition", "1")[-1].body), "the journal names nobody"
        assert (verify(session), list(altered(session))) == (None, [])
        lines = list(edition_lines(said, after.verified))
    assert f"Verified again on 10 March 2033 by Runa ({HOW})." in lines
    assert [line for line in lines if line.startswith("To be verified")] == ["To be verified again by 10 March 2035."]


@pytest.mark.usefixtures("on_shelf")
def test_months_are_those_of_its_kind_and_the_newest_counts(library: Library, staff: Staff) -> None:
    for months, who, day in ((6, "reviewer", date(2033, 9, 10)), (3, "second", date(2033, 6, 10))):
        with library.work(staff["administrator"]) as work:
            set_department(work, Department(reverify_months={"loader": months, "lift": 1}))
        with library.work(staff[who]) as work:
            assert verify_again(work, 1, HOW).reverify_on == day
    with library.reading() as session:
        assert [one.by for one in shelved(session, 1).verified] == ["Runa", "Sven"]


@pytest.mark.parametrize(
    ("roles", "is_allowed"),
    [
        pytest.param(["reviewer"], True, id="reviewer"),
        pytest.param(["archivist"], True, id="archivist"),
        pytest.param(["officer"], False, id="officer"),
        pytest.param(["administrator"], False, id="administrator"),
    ],
)
@pytest.mark.usefixtures("on_shelf")
def test_reviewers_and_archivists_verify(library: Library, roles: list[Role], is_allowed: bool) -> None:  # noqa: FBT001
    with library.work(somebody(library, *roles)) as work:
        if is_allowed:
            assert verify_again(work, 1, HOW).verified[0].by == "Vera"
        else:
            with pytest.raises(NotAllowedError, match="only a reviewer or an archivist"):
                verify_again(work, 1, HOW)


@pytest.mark.parametrize("who", ["archivist", "officer"])
@pytest.mark.usefixtures("on_shelf")
def test_nobody_verifies_alone_what_they_published_or_drafted(library: Library, staff: Staff, who: str) -> None:
    with library.work(staff["administrator"]) as work:
        work.session.execute(text("""UPDATE person SET roles = '["reviewer"]' WHERE id = 2"""))
        work.journal("roles", "person", 2)
    with pytest.raises(NotAllowedError, match="does not verify it alone"), library.work(staff[who]) as work:
        verify_again(work, 1, HOW)
    with library.work(staff["administrator"]) as work:
        set_department(work, Department(is_one_person=True))
    with library.work(staff[who]) as work:
        one = verify_again(work, 1, HOW)
    assert one.verified[0].is_one_person
    with library.reading() as session:
        assert any("in a one-person office" in line for line in edition_lines(edition_of(session, 1), one.verified))


@pytest.mark.usefixtures("on_shelf")
def test_only_what_is_in_force_is_verified(
    library: Library, staff: Staff, visit: Visit, drafted: Callable[..., Draft]
) -> None:
    put_on_shelf(library, staff, visit.model_copy(update={"key": new_key()}), drafted("e" * 64, "captions"))
    with pytest.raises(ConflictError, match="edition 1: it is replaced"), library.work(staff["reviewer"]) as work:
        verify_again(work, 1, HOW)
    with library.work(staff["archivist"]) as work:
        withdraw(work, 2, "wrong machine")
    with pytest.raises(ConflictError, match="edition 2: it is withdrawn"), library.work(staff["reviewer"]) as work:
        verify_again(work, 2, HOW)
    with library.work(staff["reviewer"]) as work:
        assert verify_again(work, 1, HOW).state == "in force"


@pytest.mark.parametrize("how", ["", " \n ", "x" * 2001, "bell \x07"])
@pytest.mark.usefixtures("on_shelf")
def test_a_verification_says_how(library: Library, staff: Staff, how: str) -> None:
    with pytest.raises(SettingError, match="how it was checked"), library.work(staff["reviewer"]) as work:
        verify_again(work, 1, how)
    with pytest.raises(NotFoundError, match="edition 7"), library.work(staff["reviewer"]) as work:
        verify_again(work, 7, HOW)


@pytest.mark.parametrize("who", ["reviewer", "administrator"])
@pytest.mark.usefixtures("on_shelf")
def test_the_newest_is_taken_back_with_a_reason_and_stays_on_the_record(
    library: Library, staff: Staff, who: str
) -> None:
    for verifier in ("second", "reviewer"):
        with library.work(staff[verifier]) as work:
            verify_again(work, 1, HOW)
    with library.work(staff[who]) as work:
        after = take_back(work, 1, "it was the other loader")
    assert [(one.by, one.undone_by, one.undone_reason) for one in after.verified] == [
        ("Sven", None, None), ("Runa", staff[who].login.capitalize(), "it was the other loader"),
    ]  # fmt: skip
    with library.work(staff["administrator"]) as work:
        assert take_back(work, 1, "that one, too").reverify_on == date(2033, 3, 4)
    assert days_left(library, LATER.date()) == [-6]
    with library.reading() as session:
        assert not any("Verified again" in line for line in edition_lines(edition_of(session, 1), after.verified[1:]))
        assert (verify(session), list(altered(session))) == (None, [])


@pytest.mark.parametrize(
    ("who", "reason", "number", "error", "said"),
    [
        pytest.param("second", "why not", None, NotAllowedError, "somebody else verified it", id="not-theirs"),
        pytest.param("reviewer", " ", None, SettingError, "Say why", id="no-reason"),
        pytest.param("reviewer", "wrong", 7, ConflictError, "not the newest", id="another-one"),
    ],
)
@pytest.mark.usefixtures("on_shelf")
def test_what_is_not_taken_back(
    library: Library, staff: Staff, *, who: str, reason: str, number: int | None, error: type[Exception], said: str
) -> None:
    with library.work(staff["reviewer"]) as work:
        verify_again(work, 1, HOW)
    with pytest.raises(error, match=said), library.work(staff[who]) as work:
        take_back(work, 1, reason, number)
    with library.work(staff["reviewer"]) as work:
        take_back(work, 1, "wrong", 1)
    with pytest.raises(LibraryError, match="nothing to take back"), library.work(staff["reviewer"]) as work:
        take_back(work, 1, "wrong")


@pytest.mark.parametrize(
    "change",
    [
        pytest.param("UPDATE verification SET how = 'by hearsay'", id="how"),
        pytest.param("UPDATE verification SET reverify_on = '2090-01-01'", id="date"),
        pytest.param("UPDATE verification SET person_id = 1", id="person"),
        pytest.param("UPDATE verification SET undone_at = at, undone_by = 3, undone_reason = 'x'", id="taken-back"),
        pytest.param("DELETE FROM verification", id="deleted"),
        pytest.param(
            "INSERT INTO verification (edition_id, person_id, at, how, reverify_on, is_one_person) "
            "SELECT edition_id, 4, at, how, '2090-01-01', is_one_person FROM verification",
            id="made-up",
        ),
    ],
)
@pytest.mark.usefixtures("on_shelf")
def test_a_verification_that_somebody_changes_in_the_database_is_found(
    library: Library, staff: Staff, change: str
) -> None:
    with library.work(staff["reviewer"]) as work:
        verify_again(work, 1, HOW)
    assert check(library).wrong() == ()
    with writer_of(library.engine).begin() as connection:
        connection.execute(text(change))
    with library.reading() as session:
        assert [number for number, _ in altered(session)] == [1]
        assert edition_of(session, 1).number == 1, "the edition itself is what was published"
    (wrong,) = check(library).wrong()
    assert "of edition 1: " in wrong


@pytest.mark.usefixtures("on_shelf")
def test_it_travels_with_the_whole_library(library: Library, staff: Staff, other: Library, tmp_path: Path) -> None:
    with library.work(staff["reviewer"]) as work:
        verify_again(work, 1, HOW)
        take_back(work, 1, "the other loader")
        told = verify_again(work, 1, HOW)
    export_library(library, tmp_path / "bag")
    import_library(other, verified_bag(tmp_path / "bag"))
    with other.reading() as session:
        assert shelved(session, 1) == told
        assert list(altered(session)) == []
    assert check(other).wrong() == ()


@pytest.mark.usefixtures("on_shelf")
def test_it_travels_with_its_visit(
    library: Library, staff: Staff, visit: Visit, other: Library, tmp_path: Path
) -> None:
    with library.work(staff["reviewer"]) as work:
        verify_again(work, 1, HOW)
        take_back(work, 1, "the other loader")
        told = verify_again(work, 1, HOW)
    export_visit(library, staff["archivist"], visit.key, tmp_path / "bag")
    with other.work(THE_LIBRARY) as work:
        for login in ("uma", "wim", "xena", "yuri", "zoe", "alva"):
            alva = actor_of(add_person(work, login, login, ["archivist"]))
    import_visit(other, alva, verified_bag(tmp_path / "bag"))
    with other.reading() as session:
        came = shelved(session, 1)
        assert came.verified == told.verified
        assert came.reverify_on == told.reverify_on == date(2035, 3, 10)
        assert edition_of(session, 1).number == 1
        assert (list(altered(session)), list(altered_in_draft(session, 1))) == ([], [])
    assert check(other).wrong() == ()
    with writer_of(other.engine).begin() as connection:
        connection.execute(text("UPDATE verification SET how = 'by hearsay'"))
        connection.execute(text("UPDATE decision SET verdict = 'rejected', reason = 'unsafe' WHERE item_id = 2"))
    with other.reading() as session:
        assert [number for number, _ in altered(session)] == [1, 1]
        assert [key for key, _ in altered_in_draft(session, 1)] == ["i2"]
