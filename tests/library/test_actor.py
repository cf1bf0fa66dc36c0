import pytest
from sqlalchemy import select, update

from vouchbook.library.actor import Work, found
from vouchbook.library.audit.journal import entries, head
from vouchbook.library.open import Library
from vouchbook.library.people.people import set_active, set_roles
from vouchbook.library.store.people_tables import PersonRow, TaskRow
from vouchbook.library.store.tables import ItemRow, VisitRow
from vouchbook.library.visits.drafts import add_draft
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError
from vouchbook.models.people import THE_LIBRARY, Actor, Role
from vouchbook.models.visits import Visit


@pytest.mark.usefixtures("staff")
def test_a_change_of_which_no_entry_tells_does_not_come_about(library: Library) -> None:
    def rename(row: PersonRow) -> None:
        row.name = "Other"

    with (
        pytest.raises(RuntimeError, match="person changed and no journal entry says so"),
        library.work(THE_LIBRARY) as work,
    ):
        rename(work.get(PersonRow, 1, "person"))
    with library.reading() as session:
        assert found(session, PersonRow, 1, "person").name == "Ada"


def test_what_is_told_nowhere_by_rule_needs_no_entry(library: Library) -> None:
    with library.work(THE_LIBRARY) as work:
        work.session.add(TaskRow(kind="index", arguments={}, created_at=work.at))
    with library.reading() as session:
        assert session.scalar(select(TaskRow.kind)) == "index"
        assert head(session).seq == 0


@pytest.mark.usefixtures("staff")
def test_everything_or_nothing_after_an_error_of_the_database(library: Library, visit: Visit) -> None:
    with library.reading() as session:
        before = head(session)

    def fail(work: Work) -> None:
        add_visit(work, visit)
        work.session.execute(update(PersonRow).values(login="same"))

    with pytest.raises(Exception, match=r"(?i)unique"), library.work(THE_LIBRARY) as work:
        fail(work)
    with library.reading() as session:
        assert session.scalars(select(VisitRow)).all() == []
        assert head(session) == before


def test_everything_of_one_piece_of_work_has_one_time_and_one_person(
    library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft
) -> None:
    with library.work(staff["officer"]) as work:
        add_draft(work, add_visit(work, visit), draft)
        at = work.at
    with library.reading() as session:
        told = [(entry.act, entry.what) for entry in entries(session) if (entry.at, entry.person) == (at, 2)]
    assert told == [("added", "visit"), ("added", "draft")]


@pytest.mark.parametrize(
    ("role", "needed", "message"),
    [
        ("reviewer", ("officer",), "only an officer may do this"),
        ("reviewer", ("officer", "archivist"), "only an officer or an archivist may do this"),
        ("officer", ("administrator",), "only an administrator may do this"),
    ],
)
def test_who_has_no_role_for_it_is_refused(
    library: Library, staff: dict[str, Actor], role: str, needed: tuple[Role, ...], message: str
) -> None:
    with library.work(staff[role]) as work, pytest.raises(NotAllowedError, match=message):
        work.needs(*needed)


def test_the_roles_that_count_are_those_of_now(library: Library, staff: dict[str, Actor]) -> None:
    assert staff["officer"].person is not None
    with library.work(staff["administrator"]) as work:
        set_roles(work, staff["officer"].person, ["reviewer"])
    with library.work(staff["officer"]) as work:
        assert work.actor.roles == {"reviewer"}
    forged = staff["officer"].model_copy(update={"roles": frozenset({"administrator"})})
    with library.work(forged) as work, pytest.raises(NotAllowedError):
        work.needs("administrator")


def test_who_left_works_no_more(library: Library, staff: dict[str, Actor]) -> None:
    assert staff["officer"].person is not None
    with library.work(staff["administrator"]) as work:
        set_active(work, staff["officer"].person, is_active=False)
    with pytest.raises(NotAllowedError, match="does not work here any more"), library.work(staff["officer"]):
        raise AssertionError("not reached")
    with pytest.raises(NotAllowedError), library.work(Actor(person=99, login="nobody")):
        raise AssertionError("not reached")


def test_what_changed_since_it_was_seen_is_a_conflict_that_says_who_did_what(
    library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft
) -> None:
    with library.work(staff["officer"]) as work:
        add_draft(work, add_visit(work, visit), draft)
    with library.work(staff["reviewer"]) as work:
        item = work.get(ItemRow, 1, "item")
        work.change(item, seen=1)
        item.state = "confirmed"
        work.journal("confirmed", "item", item.id)
    with (
        pytest.raises(ConflictError, match=r"^item i1: confirmed by Runa at 10:\d\d:\d\d UTC, since you saw it\. Look"),
        library.work(staff["second"]) as work,
    ):
        work.change(work.get(ItemRow, 1, "item"), seen=1)
    with library.reading() as session:
        row = found(session, ItemRow, 1, "item")
        assert (row.version, row.state) == (2, "confirmed")


def test_what_is_not_there_is_told(library: Library) -> None:
    with library.reading() as session, pytest.raises(NotFoundError, match=r"visit 7: the library has none"):
        found(session, VisitRow, 7, "visit")
