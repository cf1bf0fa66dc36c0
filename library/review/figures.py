"""Figures about reviewing: how far a draft is, how far people agree, how long an item takes them."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import median

from pydantic import Field
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import found
from vouchbook.library.review.agreement import Agreement, agreements
from vouchbook.library.review.cases import decision_of
from vouchbook.library.store.tables import DecisionRow, DraftRow, ItemRow, QuestionRow
from vouchbook.models.record import Record

BREAK = timedelta(minutes=10)
"""Who decides nothing for this long was away; such times are left out. Ours, no source."""


class Counts(Record):
    """How many items and questions of a draft stand where. ``changes`` goes up with every change on its table."""

    items: dict[str, int]
    questions: dict[str, int]
    changes: int


class Pace(Record):
    """The time from one decision of a person to their next one on the same draft, breaks left out."""

    person: int
    decisions: int = Field(ge=1)
    median_s: float | None = Field(ge=0)
    """None where they never decided twice in a row."""


def counts(session: Session, draft_id: int) -> Counts:
    """Live counts of a draft.

    Raises:
        NotFoundError: no draft of that number.
    """
    found(session, DraftRow, draft_id, "draft")
    items, item_versions = _by_state(session, ItemRow, draft_id)
    questions, question_versions = _by_state(session, QuestionRow, draft_id)
    return Counts(items=items, questions=questions, changes=item_versions + question_versions)


def agreement(session: Session, draft_ids: Iterable[int] | None = None) -> tuple[Agreement, ...]:
    """Cohen's kappa for each pair of people who both decided on items of these drafts, or of all."""
    decisions = [decision_of(row, f"i{row.item_id}") for row, _ in _decisions(session, draft_ids)]
    return agreements(decisions)


def pace(session: Session, draft_ids: Iterable[int] | None = None) -> tuple[Pace, ...]:
    """How long people took for an item of these drafts, or of all, by person."""
    times: dict[int, dict[int, list[datetime]]] = {}
    for row, draft_id in _decisions(session, draft_ids):
        times.setdefault(row.person_id, {}).setdefault(draft_id, []).append(row.at)
    return tuple(
        Pace(
            person=person,
            decisions=sum(len(one) for one in drafts.values()),
            median_s=_median_s([gap for one in drafts.values() for gap in _gaps(one)]),
        )
        for person, drafts in sorted(times.items())
    )


def _gaps(times: Sequence[datetime]) -> list[timedelta]:
    """The times between decisions that follow each other; none where the clock went back."""
    return [gap for one, other in pairwise(times) if timedelta(0) <= (gap := other - one) < BREAK]


def _median_s(gaps: Sequence[timedelta]) -> float | None:
    return median(gap.total_seconds() for gap in gaps) if gaps else None


def _by_state(session: Session, kind: type[ItemRow] | type[QuestionRow], draft_id: int) -> tuple[dict[str, int], int]:
    asked = select(kind.state, func.count(), func.sum(kind.version)).where(kind.draft_id == draft_id)
    rows = session.execute(asked.group_by(kind.state).order_by(kind.state)).all()
    return {row[0]: row[1] for row in rows}, sum(int(row[2]) for row in rows)


def _decisions(session: Session, draft_ids: Iterable[int] | None) -> list[tuple[DecisionRow, int]]:
    asked = select(DecisionRow, ItemRow.draft_id).join(ItemRow, ItemRow.id == DecisionRow.item_id)
    if draft_ids is not None:
        asked = asked.where(ItemRow.draft_id.in_(list(draft_ids)))
    return [(row[0], row[1]) for row in session.execute(asked.order_by(DecisionRow.id))]
