"""Visits and their subjects: added once, also when the same is added again."""

from collections.abc import Sequence
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.store.tables import ParticipantRow, SubjectRow, VisitRow
from vouchbook.models.errors import ConflictError, NotFoundError
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Participant, Visit


def new_key() -> str:
    """A key that no other visit has, anywhere."""
    return str(uuid4())


def add_visit(work: Work, visit: Visit) -> int:
    """The number of the visit. Adding the same again changes nothing, also after somebody more was named.

    Raises:
        NotAllowedError: not by an officer or archivist.
        NotFoundError: nobody has the number ``recorded_by``.
        ConflictError: the key belongs to another visit.
    """
    work.needs("officer", "archivist")
    there = work.session.scalar(select(VisitRow).where(VisitRow.key == visit.key))
    if there is not None:
        if _is_same(visit_of(work.session, there.id), visit):
            return there.id
        raise ConflictError(f"visit {visit.key}", "another visit has this key", "Give this one a key of its own")
    if visit.recorded_by is not None:
        work.get(PersonRow, visit.recorded_by, "person")
    row = VisitRow(
        key=visit.key,
        subject_id=subject_id(work.session, visit.subject),
        place=visit.place,
        held_on=visit.held_on,
        recorded_by=visit.recorded_by,
        created_by=work.person,
        created_at=work.at,
        note=visit.note,
    )
    work.session.add(row)
    work.session.flush()
    for one in visit.participants:
        work.session.add(ParticipantRow(visit_id=row.id, name=one.name, part=one.part, voice=one.voice))
    work.journal(
        "added",
        "visit",
        row.id,
        {
            "key": row.key,
            "subject": row.subject_id,
            "held_on": row.held_on.isoformat(),
            "recorded_by": row.recorded_by,
            "participants": len(visit.participants),
        },
    )
    return row.id


def subject_id(session: Session, subject: Subject) -> int:
    """The number of the subject, which is added if nothing was known of it."""
    fields = subject.model_dump()
    row = session.scalar(select(SubjectRow).filter_by(**fields))
    if row is None:
        row = SubjectRow(**fields)
        session.add(row)
        session.flush()
    return row.id


def subject_of(row: SubjectRow) -> Subject:
    """The record of a row."""
    return Subject(
        kind=row.kind,
        maker=row.maker,
        model=row.model,
        years_from=row.years_from,
        years_to=row.years_to,
        energy=row.energy,
    )


def visit_of(session: Session, visit_id: int) -> Visit:
    """The visit of that number.

    Raises:
        NotFoundError: there is none.
    """
    row = found(session, VisitRow, visit_id, "visit")
    return Visit(
        key=row.key,
        subject=subject_of(found(session, SubjectRow, row.subject_id, "subject")),
        place=row.place,
        held_on=row.held_on,
        recorded_by=row.recorded_by,
        note=row.note,
        participants=tuple(map(participant_of, participant_rows(session, visit_id))),
    )


def participant_rows(session: Session, visit_id: int) -> Sequence[ParticipantRow]:
    """The rows of those who took part in a visit, in the order in which they were added."""
    asked = select(ParticipantRow).where(ParticipantRow.visit_id == visit_id).order_by(ParticipantRow.id)
    return session.scalars(asked).all()


def participant_of(row: ParticipantRow) -> Participant:
    """The record of a row."""
    return Participant.model_validate({"name": row.name, "part": row.part, "voice": row.voice})


def visit_keyed(session: Session, key: str) -> int:
    """The number of the visit with that key.

    Raises:
        NotFoundError: there is none.
    """
    number = session.scalar(select(VisitRow.id).where(VisitRow.key == key))
    if number is None:
        raise NotFoundError(f"visit {key[:80]!r}", "the library has none with that key", "Check the key")
    return number


def _is_same(here: Visit, visit: Visit) -> bool:
    """Whether ``here`` is ``visit``, with everybody who was named then, and perhaps more."""
    nobody: dict[str, object] = {"participants": ()}
    is_there = all(one in here.participants for one in visit.participants)
    return is_there and here.model_copy(update=nobody) == visit.model_copy(update=nobody)
