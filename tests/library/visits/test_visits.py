from datetime import date

import pytest
from pydantic import ValidationError
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, head
from vouchbook.library.open import Library
from vouchbook.library.store.tables import SubjectRow
from vouchbook.library.visits.visits import add_visit, new_key, visit_keyed, visit_of
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError
from vouchbook.models.people import Actor
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Participant, Visit

Staff = dict[str, Actor]


def add(library: Library, actor: Actor, visit: Visit) -> int:
    with library.work(actor) as work:
        return add_visit(work, visit)


def test_a_visit_comes_out_as_it_went_in(library: Library, staff: Staff, visit: Visit) -> None:
    wanted = visit.model_copy(update={"recorded_by": 2, "note": "Rain.\nTwo loaders."})
    number = add(library, staff["officer"], wanted)
    with library.reading() as session:
        assert visit_of(session, number) == wanted
        assert visit_keyed(session, visit.key) == number


def test_the_same_again_changes_nothing(library: Library, staff: Staff, visit: Visit) -> None:
    number = add(library, staff["officer"], visit)
    with library.reading() as session:
        before = head(session)
    assert add(library, staff["archivist"], visit) == number
    with library.reading() as session:
        assert head(session) == before


def test_another_visit_with_the_same_key_is_refused(library: Library, staff: Staff, visit: Visit) -> None:
    add(library, staff["officer"], visit)
    with pytest.raises(ConflictError, match="another visit has this key"):
        add(library, staff["officer"], visit.model_copy(update={"place": "Canal depot"}))


def test_visits_to_the_same_machine_share_the_subject(library: Library, staff: Staff, visit: Visit) -> None:
    other = visit.subject.model_copy(update={"energy": None})
    for subject in (visit.subject, other, visit.subject, other):
        add(library, staff["officer"], visit.model_copy(update={"key": new_key(), "subject": subject}))
    with library.reading() as session:
        assert len(session.scalars(select(SubjectRow)).all()) == 2


def test_the_journal_names_no_participant(library: Library, staff: Staff, visit: Visit) -> None:
    add(library, staff["officer"], visit)
    with library.reading() as session:
        (told,) = (entry for entry in entries(session) if entry.what == "visit")
    assert told.body["participants"] == 2
    assert "Dov" not in str(told)
    assert "Almar" not in str(told)


@pytest.mark.parametrize("role", ["reviewer", "second", "administrator"])
def test_visits_come_from_officers_and_archivists(library: Library, staff: Staff, visit: Visit, role: str) -> None:
    with pytest.raises(NotAllowedError, match="only an officer or an archivist"):
        add(library, staff[role], visit)


def test_who_recorded_it_must_be_somebody(library: Library, staff: Staff, visit: Visit) -> None:
    with pytest.raises(NotFoundError, match="person 99"):
        add(library, staff["officer"], visit.model_copy(update={"recorded_by": 99}))


def test_a_key_that_is_not_there_is_told(library: Library) -> None:
    with library.reading() as session, pytest.raises(NotFoundError, match="none with that key"):
        visit_keyed(session, new_key())


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"key": "../../x"}, id="key is a path"),
        pytest.param({"key": new_key().upper()}, id="key in capitals"),
        pytest.param({"place": "a\x00b"}, id="control character"),
        pytest.param({"place": "x" * 201}, id="endless place"),
        pytest.param({"participants": (Participant(name="A", part="other", voice="v"),) * 2}, id="one voice twice"),
        pytest.param({"subject": {"kind": ""}}, id="no kind"),
        pytest.param({"subject": {"kind": "loader", "years_from": 2031, "years_to": 2030}}, id="years go back"),
        pytest.param({"subject": {"kind": "loader", "maker": "a\nb"}}, id="two lines"),
    ],
)
def test_a_visit_that_cannot_be_is_no_visit(fields: dict[str, object]) -> None:
    whole = {"key": new_key(), "subject": Subject(kind="loader"), "held_on": date(2031, 3, 1)}
    assert Visit.model_validate(whole)
    with pytest.raises(ValidationError):
        Visit.model_validate(whole | fields)


@pytest.mark.parametrize(
    ("fields", "named"),
    [
        ({"kind": "loader", "maker": "Halden", "model": "L4"}, "Halden L4"),
        ({"kind": "loader"}, "loader"),
        ({"kind": "loader", "maker": "Halden", "years_from": 2029, "years_to": 2031}, "Halden 2029 to 2031"),
        ({"kind": "loader", "maker": "Halden", "years_from": 2029, "years_to": 2029}, "Halden 2029"),
        ({"kind": "loader", "maker": "Halden", "years_from": 2029, "energy": "battery"}, "Halden 2029 to (battery)"),
        ({"kind": "loader", "maker": "Halden", "years_to": 2031}, "Halden to 2031"),
    ],
)
def test_a_subject_is_named_as_people_name_it(fields: dict[str, object], named: str) -> None:
    assert str(Subject.model_validate(fields)) == named
