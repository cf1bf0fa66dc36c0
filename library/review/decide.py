"""Decisions on items, taken and taken back: nothing is lost, and nobody decides on what they did not see."""

from collections.abc import Sequence
from typing import NoReturn

from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.review.cases import Drafted, DraftItem, decision_of
from vouchbook.library.review.rules import Refusal, may_decide, may_undo, must_hear
from vouchbook.library.review.words import amended
from vouchbook.library.store.tables import DecisionRow, ItemRow
from vouchbook.library.visits.sentences import word_anew
from vouchbook.models.decisions import Decision, Judgement
from vouchbook.models.errors import ConflictError, NotAllowedError

_IT_CHANGED = {"open draft", "decided already", "not taken back"}
"""What is missing because of what somebody did before; all else is missing on the side of who decides."""


def decide(work: Work, item_id: int, seen: int, judgement: Judgement) -> DraftItem:
    """Decides on an item that was ``seen`` in that version; gives it as it is then, with its next version.

    Raises:
        NotAllowedError: not by a reviewer, another person is needed, it was not heard, or the words cannot stand.
        NotFoundError: no such item.
        ConflictError: somebody changed it since it was seen, it is decided already, or its draft is not open.
    """
    work.needs("reviewer")
    person = work.person_id()
    row = work.get(ItemRow, item_id, "item")
    drafted = open_draft(work, row.draft_id)
    work.change(row, seen)
    item = drafted.item(row)
    decision = Decision.model_validate({**judgement.model_dump(), "item": row.key, "by": person, "at": work.at})
    refuse(
        f"item {row.key}",
        may_decide(item.case, item.decisions, decision, drafted.reviewer(work.actor, item), drafted.department),
    )
    taken = DecisionRow(
        item_id=item_id,
        person_id=person,
        at=work.at,
        **judgement.model_dump(),
        is_second=item.state.name == "waits for a second person",
    )
    work.session.add(taken)
    work.session.flush()
    told = {
        "decision": taken.id,
        "sha256": decision_sha256(decision),
        "reason": decision.reason,
        "heard": must_hear(item.case, decision),
    }
    return _settled(work, drafted, row, judgement.verdict, told)


def undo(work: Work, item_id: int, seen: int, whose: int | None = None) -> DraftItem:
    """Takes back the last decision on an item that stands of who acts; by an administrator, of the person ``whose``.

    Raises:
        NotAllowedError: it is somebody else's.
        NotFoundError: no such item.
        ConflictError: somebody changed it since it was seen, there is nothing to take back, or it is published.
    """
    whose = work.person_id() if whose is None else whose
    row = work.get(ItemRow, item_id, "item")
    drafted = open_draft(work, row.draft_id)
    work.change(row, seen)
    asked = select(DecisionRow).where(
        DecisionRow.item_id == item_id, DecisionRow.person_id == whose, DecisionRow.undone_at.is_(None)
    )
    taken = work.session.scalars(asked.order_by(DecisionRow.id.desc()).limit(1)).one_or_none()
    if taken is None:
        raise ConflictError(f"item {row.key}", "no decision of that person stands on it", "There is nothing to do")
    item = drafted.item(row)
    decision = decision_of(taken, row.key)
    refuse(f"item {row.key}", may_undo(item.case, decision, drafted.reviewer(work.actor, item)))
    taken.undone_at, taken.undone_by = work.at, work.person
    return _settled(work, drafted, row, "took back", {"decision": taken.id, "whose": whose})


def open_draft(work: Work, draft_id: int) -> Drafted:
    """The draft, if people may still decide on it.

    Raises:
        NotFoundError: no draft of that number.
        ConflictError: it is published or set aside.
    """
    drafted = Drafted(work.session, draft_id)
    if drafted.row.state == "published":
        raise ConflictError(f"draft {draft_id}", "it is published and stays as it is", "Withdraw the edition first")
    if drafted.row.state != "open":
        raise ConflictError(f"draft {draft_id}", f"it is {drafted.row.state}", "Decide on the newer draft")
    return drafted


def refuse(what: str, refusals: Sequence[Refusal]) -> None:
    """Raises what stands in the way, the first of it, if anything does.

    Raises:
        ConflictError: somebody did something before.
        NotAllowedError: all else.
    """
    if refusals:
        _refuse(what, refusals[0])


def decision_sha256(decision: Decision) -> str:
    """The hash by which the journal knows a decision, whatever becomes of it later."""
    return canonical_sha256(decision.model_dump(mode="json", exclude={"undone_at", "undone_by"}))


def _refuse(what: str, refusal: Refusal) -> NoReturn:
    problem, _, remedy = refusal.sentence.rpartition("; ")
    kind = ConflictError if refusal.missing in _IT_CHANGED else NotAllowedError
    raise kind(what, problem[:1].lower() + problem[1:], remedy[:1].upper() + remedy[1:])


def _settled(work: Work, drafted: Drafted, row: ItemRow, act: str, told: dict[str, object]) -> DraftItem:
    """The item where the decisions have brought it, told in the journal and to those who search."""
    work.session.flush()
    item = drafted.item(row)
    row.state = item.state.name
    work.journal(
        act, "item", row.id, {"draft": row.draft_id, "key": row.key, **told, "version": row.version, "state": row.state}
    )
    word_anew(work.session, row.id, words_now(item))
    return item


def words_now(item: DraftItem) -> dict[str, str | int | None]:
    """The fields of an item as it stands: amended where that is decided, otherwise as read."""
    words = item.state.counted[0].words if item.state.name == "amended" else None
    return amended(item.case.as_read, words or {})
