"""The editions of the library, read back: what they say, which are in force, and whether somebody changed one."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Literal

from pydantic import AwareDatetime, ValidationError
from sqlalchemy import ColumnElement, Select, and_, exists, select
from sqlalchemy.orm import Session, aliased

from vouchbook.library.actor import found
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.audit.journal import TOOK_IN
from vouchbook.library.editions.verifications import Verification, altered_verifications, verifications
from vouchbook.library.known.relation import relation
from vouchbook.library.people.people import names
from vouchbook.library.store.tables import EditionRow, JournalRow, SubjectRow
from vouchbook.library.visits.visits import subject_of
from vouchbook.models.editions import Edition
from vouchbook.models.errors import StoreError
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject

EditionState = Literal["in force", "replaced", "withdrawn"]


class Shelved(Record):
    """An edition as it is listed. Of one subject, the newest that is not withdrawn is in force.

    ``reverify_on`` is the day on which it is due by now: ``verified`` has all that moved it, also what was taken back.
    """

    id: int
    subject: Subject
    number: int
    state: EditionState
    visit_id: int
    draft_id: int
    content_sha256: str
    published_at: AwareDatetime
    published_by: str
    is_one_person: bool
    reverify_on: date
    verified: tuple[Verification, ...] = ()
    replaces: int | None = None
    withdrawn_at: AwareDatetime | None = None
    withdrawn_by: str | None = None
    withdrawn_reason: str | None = None


def edition_of(session: Session, edition_id: int) -> Edition:
    """What an edition says.

    Raises:
        NotFoundError: none of that number.
        StoreError: it is no longer what was published.
    """
    row = found(session, EditionRow, edition_id, "edition")
    problem = _problem(session, row)
    if problem is not None:
        raise StoreError(f"edition {edition_id}", problem, "Restore the last backup")
    return Edition.model_validate(row.content)


def altered(session: Session) -> Iterator[tuple[int, str]]:
    """The number of each edition that is not what was published, and what is wrong with it."""
    for row in session.scalars(select(EditionRow).order_by(EditionRow.id).execution_options(populate_existing=True)):
        problem = _problem(session, row)
        if problem is not None:
            yield row.id, problem
    kept = {str(number) for number in session.scalars(select(EditionRow.id))}
    for entry in session.scalars(_told().order_by(JournalRow.seq)):
        if entry.what_id not in kept:
            yield int(entry.what_id), "the journal tells of it and it is not here"
    for edition_id, number, problem in altered_verifications(session):
        yield edition_id, f"its verification {number}: {problem}"


def shelf(session: Session, subject_id: int | None = None) -> tuple[Shelved, ...]:
    """All editions, or those of one subject, the newest first."""
    asked = select(EditionRow, is_replaced()).order_by(EditionRow.published_at.desc(), EditionRow.id.desc())
    if subject_id is not None:
        asked = asked.where(EditionRow.subject_id == subject_id)
    return _shelved(session, [(row, replaced) for row, replaced in session.execute(asked)])


def shelved(session: Session, edition_id: int) -> Shelved:
    """One edition as it is listed.

    Raises:
        NotFoundError: none of that number.
    """
    row = found(session, EditionRow, edition_id, "edition")
    replaced = session.execute(select(is_replaced()).where(EditionRow.id == edition_id)).scalar_one()
    return _shelved(session, [(row, replaced)])[0]


def in_force(session: Session, subject_id: int) -> EditionRow | None:
    """The edition of a subject that is in force, or None."""
    of_subject = select(EditionRow).where(EditionRow.subject_id == subject_id, EditionRow.withdrawn_at.is_(None))
    return session.scalars(of_subject.order_by(EditionRow.number.desc()).limit(1)).one_or_none()


def related_editions(session: Session, subject: Subject) -> tuple[Edition, ...]:
    """The editions in force of the subject itself and of all that are related to it."""
    near = [row.id for row in session.scalars(select(SubjectRow)) if relation(subject, subject_of(row)) is not None]
    asked = select(EditionRow.id).where(EditionRow.subject_id.in_(near), is_in_force())
    return tuple(edition_of(session, number) for number in session.scalars(asked.order_by(EditionRow.id)))


def is_in_force() -> ColumnElement[bool]:
    """Whether an edition is neither withdrawn nor replaced."""
    return and_(EditionRow.withdrawn_at.is_(None), ~is_replaced())


def is_replaced() -> ColumnElement[bool]:
    """Whether the subject of an edition has a newer one that is not withdrawn."""
    newer = aliased(EditionRow)
    return exists().where(
        newer.subject_id == EditionRow.subject_id, newer.number > EditionRow.number, newer.withdrawn_at.is_(None)
    )


def _problem(session: Session, row: EditionRow) -> str | None:
    """What is wrong with an edition: against its own hash, its columns, and what the journal tells."""
    if canonical_sha256(row.content) != row.content_sha256:
        return "it is not what was published: its hash does not fit"
    published = session.scalars(_told().where(JournalRow.what_id == str(row.id))).one_or_none()
    sha256 = _came_as(session, row) if published is None else published.body.get("content_sha256")
    if sha256 != row.content_sha256:
        return "it is another than the one that the journal tells of"
    try:
        edition = Edition.model_validate(row.content)
    except ValidationError as error:
        return f"it cannot be read ({error.errors(include_url=False)[0]['msg']})"
    person = edition.published.person
    if published is None:  # of a library whose people have other numbers
        person = row.published_by if edition.published.name == names(session)[row.published_by] else -1
    subject = session.get(SubjectRow, row.subject_id)
    says = (edition.number, edition.reverify_on, person, edition.published.at, edition.subject)
    stands = (row.number, row.reverify_on, row.published_by, row.published_at, subject and subject_of(subject))
    return None if says == stands else "its entry in the list says something else than it does"


def _came_as(session: Session, row: EditionRow) -> object:
    """The hash of an edition that came in a bag, as the journal has it of the day on which its visit was taken in."""
    of_visit = (JournalRow.what == "visit", JournalRow.what_id == str(row.visit_id), JournalRow.act == TOOK_IN)
    entry = session.scalars(select(JournalRow).where(*of_visit)).one_or_none()
    return entry.body["editions"].get(str(row.id)) if entry is not None else None


def _told() -> Select[JournalRow]:
    return select(JournalRow).where(JournalRow.what == "edition", JournalRow.act == "published")


def _shelved(session: Session, rows: Sequence[tuple[EditionRow, bool]]) -> tuple[Shelved, ...]:
    known = names(session)
    verified = verifications(session, [row.id for row, _ in rows], known)
    found_: list[Shelved] = []
    for row, replaced in rows:
        before = session.get(EditionRow, row.replaces_id) if row.replaces_id is not None else None
        standing = [one for one in verified[row.id] if one.stands]
        found_.append(
            Shelved(
                id=row.id,
                subject=subject_of(session.get_one(SubjectRow, row.subject_id)),
                number=row.number,
                state="withdrawn" if row.withdrawn_at else "replaced" if replaced else "in force",
                visit_id=row.visit_id,
                draft_id=row.draft_id,
                content_sha256=row.content_sha256,
                published_at=row.published_at,
                published_by=known[row.published_by],
                is_one_person=row.is_one_person,
                reverify_on=standing[-1].reverify_on if standing else row.reverify_on,
                verified=verified[row.id],
                replaces=before.number if before else None,
                withdrawn_at=row.withdrawn_at,
                withdrawn_by=known.get(row.withdrawn_by) if row.withdrawn_by is not None else None,
                withdrawn_reason=row.withdrawn_reason,
            )
        )
    return tuple(found_)
