"""Visits and drafts as they are listed: what somebody needs to find the one that they mean."""

from collections.abc import Iterable
from datetime import date

from pydantic import AwareDatetime
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import found
from vouchbook.library.store.tables import (
    DraftRow,
    ItemRow,
    MediumRow,
    SentenceRow,
    SubjectRow,
    VisitMediumRow,
    VisitRow,
)
from vouchbook.library.visits.visits import subject_of, visit_of
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Visit

MOST = 200


class ListedVisit(Record):
    """A visit in a list; ``subject_id`` is the library's own number of its subject."""

    id: int
    key: str
    subject_id: int
    subject: Subject
    place: str
    held_on: date
    drafts: int


class ListedMedium(Record):
    """A file of a visit. ``is_here`` is False where it was removed, which stays on the record.

    ``is_hidden`` is what only those who keep the library see and hear.
    """

    sha256: str
    role: str
    name: str
    media_type: str
    size_bytes: int
    is_here: bool
    is_hidden: bool


class ListedDraft(Record):
    """A draft of a visit: "open", "published" or "set aside"."""

    id: int
    visit_id: int
    number: int
    state: str
    document_sha256: str
    drafted_by: int | None
    added_at: AwareDatetime
    items: int


class WholeVisit(Record):
    """A visit with its files and drafts."""

    id: int
    subject_id: int
    visit: Visit
    media: tuple[ListedMedium, ...]
    drafts: tuple[ListedDraft, ...]


class Sentence(Record):
    """A line of talk. Seconds are those of the recording ``sha256``; of the visit's clock where that is None."""

    id: int
    draft_id: int
    sha256: str | None
    start_s: float
    end_s: float
    voice: str | None
    words: str


def visits(session: Session, *, before: int | None = None, most: int = 50) -> tuple[ListedVisit, ...]:
    """The visits that were added last, or those with a number below ``before``; the newest first, at most 200."""
    drafts = select(func.count()).where(DraftRow.visit_id == VisitRow.id).scalar_subquery()
    asked = select(VisitRow, SubjectRow, drafts).join(SubjectRow, SubjectRow.id == VisitRow.subject_id)
    if before is not None:
        asked = asked.where(VisitRow.id < before)
    return tuple(
        ListedVisit(
            id=row.id,
            key=row.key,
            subject_id=subject.id,
            subject=subject_of(subject),
            place=row.place,
            held_on=row.held_on,
            drafts=count,
        )
        for row, subject, count in session.execute(asked.order_by(VisitRow.id.desc()).limit(min(most, MOST)))
    )


def whole_visit(session: Session, visit_id: int) -> WholeVisit:
    """A visit with all that belongs to it.

    Raises:
        NotFoundError: there is none of that number.
    """
    row = found(session, VisitRow, visit_id, "visit")
    asked = select(VisitMediumRow, MediumRow).join(MediumRow, MediumRow.sha256 == VisitMediumRow.sha256)
    media = session.execute(asked.where(VisitMediumRow.visit_id == visit_id).order_by(VisitMediumRow.position))
    drafts = session.scalars(select(DraftRow).where(DraftRow.visit_id == visit_id).order_by(DraftRow.number)).all()
    return WholeVisit(
        id=visit_id,
        subject_id=row.subject_id,
        visit=visit_of(session, visit_id),
        media=tuple(
            ListedMedium(
                sha256=medium.sha256,
                role=part.role,
                name=part.name,
                media_type=medium.media_type,
                size_bytes=medium.size_bytes,
                is_here=medium.removed_at is None,
                is_hidden=medium.removed_at is None and medium.hidden_at is not None,
            )
            for part, medium in media
        ),
        drafts=_listed(session, drafts),
    )


def listed_draft(session: Session, draft_id: int) -> ListedDraft:
    """A draft as it is listed.

    Raises:
        NotFoundError: there is none of that number.
    """
    return _listed(session, [found(session, DraftRow, draft_id, "draft")])[0]


def said_on(session: Session, visit_id: int) -> tuple[Sentence, ...]:
    """Every line of talk of a visit, in the order in which it was said.

    Raises:
        NotFoundError: there is none of that number.
    """
    found(session, VisitRow, visit_id, "visit")
    asked = select(SentenceRow).where(SentenceRow.visit_id == visit_id, SentenceRow.item_id.is_(None))
    return tuple(
        Sentence.model_validate({name: getattr(row, name) for name in Sentence.model_fields})
        for row in session.scalars(asked.order_by(SentenceRow.draft_id, SentenceRow.id))
    )


def _listed(session: Session, rows: Iterable[DraftRow]) -> tuple[ListedDraft, ...]:
    drafts = list(rows)
    asked = select(ItemRow.draft_id, func.count().label("how_many")).where(
        ItemRow.draft_id.in_([row.id for row in drafts])
    )
    counts = {row.draft_id: row.how_many for row in session.execute(asked.group_by(ItemRow.draft_id))}
    same = [name for name in ListedDraft.model_fields if name != "items"]
    return tuple(
        ListedDraft.model_validate({name: getattr(row, name) for name in same} | {"items": counts.get(row.id, 0)})
        for row in drafts
    )
