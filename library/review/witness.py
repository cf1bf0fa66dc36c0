"""Whether items and decisions in the database are those that were read and taken: the draft and the journal tell."""

from collections.abc import Iterator

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.audit.journal import TOOK_IN
from vouchbook.library.review.added import ADDED, BORROWED, TOOK_OUT
from vouchbook.library.review.cases import decision_of
from vouchbook.library.review.decide import decision_sha256
from vouchbook.library.store.tables import DecisionRow, DraftRow, ItemRow, JournalRow
from vouchbook.library.visits.drafts import draft_of

_TAKEN = ("confirmed", "rejected", "amended")


def altered_in_draft(session: Session, draft_id: int) -> Iterator[tuple[str, str]]:
    """The key of each item that is not as it was read or added, or whose decisions are not those that were taken.

    Raises:
        NotFoundError, StoreError: as for :func:`~vouchbook.library.visits.drafts.draft_of`.
    """
    read = {item.id: item.model_dump(mode="json") for item in draft_of(session, draft_id).items}
    rows = session.scalars(select(ItemRow).where(ItemRow.draft_id == draft_id).order_by(ItemRow.position)).all()
    told = _told(session, session.get_one(DraftRow, draft_id).visit_id, [row.id for row in rows])
    for key in sorted(read.keys() - {row.key for row in rows}):
        yield key, "it was read and is not here"
    for key in _lost(session, draft_id, {row.id for row in rows}):
        yield key, "it was added and is not here"
    for row in rows:
        added, taken, undone = told.get(row.id, (None, [], set()))
        original = canonical_sha256(read[row.key]) if row.key in read else added
        if canonical_sha256(row.record) != original:
            yield row.key, "it is not what was read or added"
        found = _taken(session, row)
        if found != [(number, sha256, number in undone) for number, sha256 in taken]:
            yield row.key, "its decisions are not those that the journal tells of"


def _lost(session: Session, draft_id: int, here: set[int]) -> list[str]:
    """The keys of items that people added and nobody took out, and that are not ``here``."""
    asked = select(JournalRow).where(JournalRow.what == "item", JournalRow.act.in_((ADDED, BORROWED, TOOK_OUT)))
    added: dict[int, str] = {}
    for entry in session.scalars(asked.order_by(JournalRow.seq)):
        if entry.act == TOOK_OUT:
            added.pop(int(entry.what_id), None)
        elif entry.body["draft"] == draft_id:
            added[int(entry.what_id)] = entry.body["key"]
    return [key for number, key in added.items() if number not in here]


_Told = tuple[str | None, list[tuple[int, str]], set[int]]
"""The hash of an item that was added, number and hash of each decision, and the numbers of those taken back."""


def told_of_items(session: Session, draft_id: int) -> list[dict[str, object]]:
    """What the journal of another library must know of a draft that it takes in: :func:`altered_in_draft` reads it."""
    found: list[dict[str, object]] = []
    for row in session.scalars(select(ItemRow).where(ItemRow.draft_id == draft_id).order_by(ItemRow.id)):
        taken = _taken(session, row)
        if taken or row.added_by is not None:
            undone = [number for number, _, is_undone in taken if is_undone]
            decisions = [[number, sha256] for number, sha256, _ in taken]
            hashes = {"record_sha256": canonical_sha256(row.record), "decisions": decisions, "undone": undone}
            found.append({"item": row.id, **hashes})
    return found


def _taken(session: Session, row: ItemRow) -> list[tuple[int, str, bool]]:
    """Number and hash of each decision on an item, and whether it was taken back."""
    asked = select(DecisionRow).where(DecisionRow.item_id == row.id).order_by(DecisionRow.id)
    decisions = session.scalars(asked)
    return [(one.id, decision_sha256(decision_of(one, row.key)), one.undone_at is not None) for one in decisions]


def _told(session: Session, visit_id: int, item_ids: list[int]) -> dict[int, _Told]:
    found: dict[int, _Told] = {}
    came = (JournalRow.what == "visit", JournalRow.what_id == str(visit_id), JournalRow.act == TOOK_IN)
    for entry in session.scalars(select(JournalRow).where(*came)):
        for one in entry.body.get("items", ()):
            decisions = [(number, sha256) for number, sha256 in one["decisions"]]
            found[one["item"]] = (one["record_sha256"], decisions, set(one["undone"]))
    about = [str(number) for number in item_ids]
    asked = select(JournalRow).where(JournalRow.what == "item", JournalRow.what_id.in_(about)).order_by(JournalRow.seq)
    for entry in session.scalars(asked):
        added, taken, undone = found.setdefault(int(entry.what_id), (None, [], set()))
        if entry.act in _TAKEN:
            taken.append((entry.body["decision"], entry.body["sha256"]))
        elif entry.act == "took back":
            undone.add(entry.body["decision"])
        else:
            found[int(entry.what_id)] = (entry.body.get("record_sha256", added), taken, undone)
    return found
