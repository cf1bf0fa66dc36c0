"""Drafts of a visit: taken in with all their items and questions, looked at again, set aside."""

import json
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.editions.carried import carry_over
from vouchbook.library.store.columns import holds_nul
from vouchbook.library.store.tables import DecisionRow, DraftRow, ItemRow, QuestionRow, SettlementRow, VisitRow
from vouchbook.library.visits.said import doubtful
from vouchbook.library.visits.sentences import add_sentences, remove_items_of
from vouchbook.models.draft import Draft, draft_from_json
from vouchbook.models.errors import ConflictError, DocumentError, StoreError
from vouchbook.models.record import Record


class Added(Record):
    """A draft of the library; ``is_new`` is False where it was there before."""

    draft_id: int
    visit_id: int
    is_new: bool


def add_draft(work: Work, visit_id: int, draft: Draft) -> Added:
    """Takes a draft in: its items and questions to decide on, also those carried over to it, its words to be found.

    The same draft again changes nothing. An earlier draft of the visit on which nothing was decided is set aside.

    Raises:
        NotAllowedError: not by an officer.
        NotFoundError: no such visit.
        ConflictError: another visit has this draft, or people are deciding on an earlier one.
        DocumentError: its words hold NUL, which no database keeps.
    """
    work.needs("officer")
    session = work.session
    visit = work.get(VisitRow, visit_id, "visit")
    there = find_draft(session, draft)
    if there is not None and there.visit_id == visit_id:
        return there
    if there is not None:
        key = work.get(VisitRow, there.visit_id, "visit").key
        raise ConflictError(
            "draft", f"it belongs to visit {key} already", "Look there, or draft again from the recording"
        )
    document = _document(draft)
    if holds_nul(document):
        raise DocumentError("draft", "it holds a character that no text has (NUL)", "Make it again from clean captions")
    with_lines = True
    for row in session.scalars(select(DraftRow).where(DraftRow.visit_id == visit_id).order_by(DraftRow.number)):
        if row.state == "open":
            _make_way(work, row)
        with_lines = with_lines and row.document["transcript"] != document["transcript"]
    number = session.scalar(select(func.max(DraftRow.number)).where(DraftRow.visit_id == visit_id)) or 0
    row = DraftRow(
        visit_id=visit.id,
        number=number + 1,
        document=document,
        document_sha256=canonical_sha256(document),
        drafted_by=work.person,
        added_at=work.at,
    )
    session.add(row)
    session.flush()
    items = _items(row.id, draft, document["items"])
    questions = _questions(row.id, draft, document["open_questions"])
    session.add_all([*items, *questions])
    session.flush()
    add_sentences(session, row, draft, items, with_lines=with_lines)
    counts = {"items": len(items), "questions": len(questions)}
    told = {"visit": visit.key, "number": row.number, "document_sha256": row.document_sha256, **counts}
    work.journal("added", "draft", row.id, told)
    carry_over(work, row)
    return Added(draft_id=row.id, visit_id=visit_id, is_new=True)


def find_draft(session: Session, draft: Draft) -> Added | None:
    """Where the library has exactly this draft, or None."""
    wanted = DraftRow.document_sha256 == canonical_sha256(_document(draft))
    row = session.execute(select(DraftRow.id, DraftRow.visit_id).where(wanted)).one_or_none()
    return Added(draft_id=row.id, visit_id=row.visit_id, is_new=False) if row else None


def draft_of(session: Session, draft_id: int) -> Draft:
    """The draft as it was taken in, every quote checked against its transcript.

    Raises:
        NotFoundError: none of that number.
        StoreError: it is no longer what was stored.
    """
    row = found(session, DraftRow, draft_id, "draft")
    if canonical_sha256(row.document) != row.document_sha256:
        raise StoreError(f"draft {draft_id}", "it is not what was stored", "Restore the last backup")
    return draft_from_json(json.dumps(row.document), f"draft {draft_id}")


def set_aside(work: Work, draft_id: int, reason: str) -> None:
    """Takes a draft from the table: nobody decides on it any more. Its talk can still be found, its items cannot.

    Raises:
        NotAllowedError: not by an officer or administrator.
        NotFoundError: none of that number.
        ConflictError: it is not open.
    """
    work.needs("officer", "administrator")
    row = work.get(DraftRow, draft_id, "draft")
    if row.state != "open":
        raise ConflictError(f"draft {draft_id}", f"it is {row.state}", "Only an open draft can be set aside")
    row.state = "set aside"
    remove_items_of(work.session, draft_id)
    work.journal("set aside", "draft", draft_id, {"reason": reason})


def _make_way(work: Work, row: DraftRow) -> None:
    decided = select(DecisionRow.id).join(ItemRow).where(ItemRow.draft_id == row.id, DecisionRow.undone_at.is_(None))
    settled = (
        select(SettlementRow.id)
        .join(QuestionRow)
        .where(QuestionRow.draft_id == row.id, SettlementRow.undone_at.is_(None))
    )
    if work.session.scalar(decided.limit(1)) or work.session.scalar(settled.limit(1)):
        raise ConflictError(
            f"draft {row.number} of this visit", "people are deciding on it", "Finish it, or set it aside with a reason"
        )
    set_aside(work, row.id, "a newer draft of the same visit")


def _document(draft: Draft) -> dict[str, Any]:
    document: dict[str, Any] = draft.model_dump(mode="json")
    return document


def _items(draft_id: int, draft: Draft, records: list[dict[str, Any]]) -> list[ItemRow]:
    asked = doubtful(draft)
    return [
        ItemRow(
            draft_id=draft_id,
            key=item.id,
            position=position,
            kind=item.kind,
            phase=item.phase.value,
            hazard=item.hazard if item.kind == "warning" else None,
            signal=item.signal if item.kind == "warning" else None,
            is_doubtful=item.id in asked,
            record=record,
            start_s=item.start,
            end_s=item.end,
        )
        for position, (item, record) in enumerate(zip(draft.items, records, strict=True))
    ]


def _questions(draft_id: int, draft: Draft, records: list[dict[str, Any]]) -> list[QuestionRow]:
    return [
        QuestionRow(
            draft_id=draft_id,
            key=question.id,
            position=position,
            kind=question.kind,
            phase=question.phase.value if question.phase else None,
            record=record,
            start_s=question.start,
            end_s=question.end,
        )
        for position, (question, record) in enumerate(zip(draft.open_questions, records, strict=True))
    ]
