"""The items of a draft as a reviewer finds them: what was read, what was decided, what can be heard."""

from collections.abc import Iterable, Sequence
from functools import cached_property

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import found
from vouchbook.library.editions.content import DecidedCase
from vouchbook.library.review.department import department
from vouchbook.library.review.hearing import Range
from vouchbook.library.review.rules import Case, Department, Reviewer, State, state_of
from vouchbook.library.review.sound import Sound, sound_of
from vouchbook.library.store.tables import DecisionRow, DraftRow, EditionRow, ItemRow, VisitRow
from vouchbook.library.visits.said import shown
from vouchbook.models.decisions import Decision
from vouchbook.models.editions import FIELDS, Bonds, Borrowed, ItemKind, Quoted
from vouchbook.models.people import Actor


class DraftItem(DecidedCase):
    """One item of a draft. ``version`` is what :func:`~vouchbook.library.review.decide.decide` wants as seen.

    ``decisions`` are all that were taken on it, in their order, also those that were taken back.
    """

    item_id: int
    version: int
    decisions: tuple[Decision, ...] = ()


class Drafted:
    """A draft of the library with all that deciding on its items asks for; each is read once, when it is asked for."""

    def __init__(self, session: Session, draft_id: int) -> None:
        self.session = session
        self.row = found(session, DraftRow, draft_id, "draft")
        self.visit = session.get_one(VisitRow, self.row.visit_id)

    @cached_property
    def department(self) -> Department:
        """The settings that hold."""
        return department(self.session)

    @cached_property
    def sound(self) -> Sound:
        """What of the talk can be played."""
        return sound_of(self.session, self.row.id)

    def items(self) -> tuple[DraftItem, ...]:
        """All items, in the order of the procedure."""
        asked = select(ItemRow).where(ItemRow.draft_id == self.row.id).order_by(ItemRow.position, ItemRow.id)
        return self._listed(self.session.scalars(asked).all())

    def item(self, row: ItemRow) -> DraftItem:
        """One of its items."""
        return self._listed([row])[0]

    def reviewer(self, actor: Actor, item: DraftItem) -> Reviewer:
        """``actor`` at the table, and what they heard of the visit on which ``item`` was said."""
        if actor.person is None:
            return Reviewer(person=0, roles=actor.roles)
        sound = self.sound_for(item.borrowed)
        return Reviewer(person=actor.person, roles=actor.roles, heard=sound.heard_by(self.session, actor.person))

    def _listed(self, rows: Sequence[ItemRow]) -> tuple[DraftItem, ...]:
        taken: dict[int, list[Decision]] = {row.id: [] for row in rows}
        keys = {row.id: row.key for row in rows}
        for one in self.session.scalars(_decisions(taken)):
            taken[one.item_id].append(decision_of(one, keys[one.item_id]))
        return tuple(self._one(row, taken[row.id]) for row in rows)

    def _one(self, row: ItemRow, decisions: Sequence[Decision]) -> DraftItem:
        quotes = quotes_in(row)
        borrowed = Borrowed.model_validate(row.borrowed) if row.borrowed else None
        sound = self.sound_for(borrowed)
        can_be_heard = tuple(range_ for range_ in _ranges(quotes) if sound.has(range_))
        case = Case.model_validate(
            {
                "key": row.key,
                "kind": row.kind,
                "as_read": fields_in(row),
                "is_doubtful": row.is_doubtful,
                "origin": row.origin,
                "source_note": row.source_note,
                "authors": self._authors(row),
                "ranges": can_be_heard or _ranges(quotes),
                "can_be_heard": bool(can_be_heard),
                "is_published": self.row.state == "published",
            }
        )
        return DraftItem(
            item_id=row.id,
            version=row.version,
            case=case,
            state=state_of(case, decisions, self.department),
            decisions=tuple(decisions),
            quotes=quotes,
            borrowed=borrowed,
            bonds=bonds_in(row),
        )

    def _authors(self, row: ItemRow) -> frozenset[int]:
        authors = (self.visit.recorded_by, self.row.drafted_by, row.added_by)
        return frozenset(person for person in authors if person is not None)

    def sound_for(self, borrowed: Borrowed | None) -> Sound:
        """What of the visit on which an item was said can be played: another one, where it is borrowed."""
        if borrowed is None:
            return self.sound
        asked = select(EditionRow.draft_id).join(VisitRow, VisitRow.id == EditionRow.visit_id)
        there = self.session.scalar(asked.where(VisitRow.key == borrowed.visit, EditionRow.number == borrowed.edition))
        return sound_of(self.session, there) if there is not None else Sound()


def draft_items(session: Session, draft_id: int) -> tuple[DraftItem, ...]:
    """All items of a draft, in the order of the procedure.

    Raises:
        NotFoundError: no draft of that number.
    """
    return Drafted(session, draft_id).items()


def state_now(session: Session, row: ItemRow) -> State:
    """Where one item stands."""
    return Drafted(session, row.draft_id).item(row).state


def decision_of(row: DecisionRow, key: str) -> Decision:
    """The record of a row, about the item with this key."""
    return Decision.model_validate(
        {
            "item": key,
            "by": row.person_id,
            "at": row.at,
            "verdict": row.verdict,
            "reason": row.reason,
            "note": row.note,
            "words": row.words,
            "undone_at": row.undone_at,
            "undone_by": row.undone_by,
        }
    )


def fields_in(row: ItemRow) -> dict[str, str | int | None]:
    """The fields as they were read or added, in the order in which people read them."""
    kind: ItemKind = row.kind  # type: ignore[assignment]  # a kind is all that ever goes into that column
    return {name: row.record.get(name) or None for name in FIELDS[kind]}


def quotes_in(row: ItemRow) -> tuple[Quoted, ...]:
    """The words that say it."""
    return tuple(Quoted.model_validate(one) for one in row.record.get("evidence", ()))


def bonds_in(row: ItemRow) -> Bonds:
    """The steps that it is bound to."""
    said = {name: row.record[name] for name in Bonds.model_fields if row.record.get(name)}
    # What a talk says may be nothing that anybody can read; it must not keep a draft from being opened.
    plain = {name: shown(value) or "?" for name, value in said.items() if isinstance(value, str)}
    return Bonds.model_validate(said | plain)


def _ranges(quotes: Iterable[Quoted]) -> tuple[Range, ...]:
    return tuple((quoted.start_s, quoted.end_s) for quoted in quotes)


def _decisions(item_ids: Iterable[int]) -> Select[DecisionRow]:
    return select(DecisionRow).where(DecisionRow.item_id.in_(list(item_ids))).order_by(DecisionRow.id)
