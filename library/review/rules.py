"""Who may decide what, what an item still needs, and where it stands, which follows from the decisions alone."""

from collections.abc import Iterable, Sequence
from typing import Literal

from pydantic import Field

from vouchbook.library.review.amendments import changed_values
from vouchbook.library.review.hearing import Range, unheard_of
from vouchbook.library.review.words import amended
from vouchbook.models.clock import clock
from vouchbook.models.decisions import Decision, Fields
from vouchbook.models.editions import ItemKind, Origin, problems_of
from vouchbook.models.items import Signal
from vouchbook.models.record import Record

StateName = Literal["open", "confirmed", "amended", "rejected", "waits for a second person"]
Missing = Literal[
    "role", "open draft", "another person", "hearing", "decided already", "sound words", "own decision", "evidence",
    "this item", "not taken back",
]  # fmt: skip

_DECIDES = "reviewer"
_UNDOES_ALL = "administrator"


class Department(Record):
    """What a department sets about reviewing."""

    is_one_person: bool = False
    second_for_kinds: frozenset[ItemKind] = frozenset()
    second_for_signals: frozenset[Signal] = frozenset()
    reverify_months: dict[str, int] = Field(default_factory=dict)
    """Months until an edition is due again, by the subject's kind; 24 for all others."""


class Case(Record):
    """An item with all that the rules look at. ``authors`` recorded or drafted the visit or added the item by hand."""

    key: str = Field(pattern=r"^i[0-9]+$")
    kind: ItemKind
    as_read: Fields
    is_doubtful: bool = False
    origin: Origin = "recording"
    source_note: str | None = None
    authors: frozenset[int] = frozenset()
    ranges: tuple[Range, ...] = ()
    """The seconds of its evidence, on the visit's clock."""
    can_be_heard: bool = True
    """False where the visit has captions or text alone, or its recording was removed."""
    is_published: bool = False

    @property
    def is_danger(self) -> bool:
        """Whether it was read as a danger warning; an amendment does not change that."""
        return self.as_read.get("signal") == "danger"


class Reviewer(Record):
    """The person at the table: number, roles, and the seconds of this visit that they listened to."""

    person: int
    roles: frozenset[str]
    heard: tuple[Range, ...] = ()


class Refusal(Record):
    """Why something may not be done: what is missing, and what to do, in one sentence."""

    missing: Missing
    sentence: str


class State(Record):
    """Where an item stands.

    ``counted`` are the decisions that brought it there, first and second. ``disputed`` are two that disagreed, shown
    until somebody decides again. ``needs`` says why a second person is needed, in words.
    """

    name: StateName
    counted: tuple[Decision, ...] = ()
    disputed: tuple[Decision, ...] = ()
    needs: tuple[str, ...] = ()


def state_of(case: Case, decisions: Iterable[Decision], department: Department) -> State:
    """Where the item stands after ``decisions``, given in the order in which they were taken.

    What was taken back counts nothing. A second person who decides otherwise opens the item again, with both shown. One
    person never counts as two: a later decision of the same person takes the place of the earlier.
    """
    counted: list[Decision] = []
    disputed: tuple[Decision, ...] = ()
    for decision in decisions:
        if decision.item != case.key or decision.undone_at is not None:
            continue
        same = [one for one in counted if one.by == decision.by]
        if same:
            counted = [one for one in counted if one.by != decision.by]
        if counted and not agree(counted[0], decision):
            disputed, counted = (counted[0], decision), []
            continue
        counted.append(decision)
        disputed = ()
    if not counted:
        return State(name="open", disputed=disputed)
    needs = second_reasons(case, counted[0], department)
    if needs and len(counted) < 2:
        return State(name="waits for a second person", counted=tuple(counted), needs=needs)
    return State(name=counted[0].verdict, counted=tuple(counted[:2]), needs=needs)


def agree(one: Decision, other: Decision) -> bool:
    """Whether two decisions come to the same: the same verdict, and for an amendment the same words."""
    return one.verdict == other.verdict and (one.words or {}) == (other.words or {})


def second_reasons(case: Case, decision: Decision, department: Department) -> tuple[str, ...]:
    """Why ``decision`` alone does not settle the item, one reason each; empty when it does.

    A department of one person has no second: there it is always empty, and the edition says so.
    """
    if department.is_one_person:
        return ()
    words = decision.words or {}
    vouches = decision.verdict != "rejected"
    signals = {case.as_read.get("signal"), words.get("signal")}
    reasons: list[str] = []
    if "danger" in signals:
        reasons.append("it is a danger warning")
    if decision.by in case.authors:
        reasons.append("who decided recorded, drafted or added it")
    if case.kind in department.second_for_kinds or signals & department.second_for_signals:
        reasons.append("the department's settings ask for two")
    if vouches and case.is_doubtful:
        reasons.append("its words were doubtful")
    if vouches and case.origin != "recording":
        reasons.append("it was added by hand")
    values = changed_values(case.as_read, words)
    if values:
        reasons.append(f"a value was amended ({', '.join(values)})")
    return tuple(reasons)


def may_decide(
    case: Case, decisions: Sequence[Decision], decision: Decision, reviewer: Reviewer, department: Department
) -> tuple[Refusal, ...]:
    """What stands in the way of ``decision`` by ``reviewer`` now; empty when nothing does."""
    found: list[Refusal] = []
    state = state_of(case, decisions, department)
    if decision.item != case.key or decision.by != reviewer.person:
        found.append(
            _refusal("this item", "The decision names another item or person; open the item again and decide.")
        )
    if _DECIDES not in reviewer.roles:
        found.append(_refusal("role", "Only a reviewer decides; ask an administrator for that role."))
    if case.is_published:
        found.append(_refusal("open draft", "This draft is published; withdraw the edition or make a new draft."))
    if state.name == "waits for a second person" and reviewer.person in {one.by for one in state.counted}:
        found.append(
            _refusal(
                "another person", f"You decided this already and {state.needs[0]}; another person must decide now."
            )
        )
    elif state.name in ("confirmed", "amended", "rejected"):
        found.append(_refusal("decided already", f"This item is {state.name}; take that decision back first."))
    if decision.verdict == "amended":
        found += _about_words(case, decision)
    if decision.verdict != "rejected" and case.origin == "other source" and not (case.source_note or case.ranges):
        found.append(_refusal("evidence", "This item names no source; give the maker's page or the standard."))
    found += _about_hearing(case, decision, reviewer)
    return tuple(found)


def may_undo(case: Case, decision: Decision, reviewer: Reviewer) -> tuple[Refusal, ...]:
    """What stands in the way of taking ``decision`` back now; empty when nothing does."""
    found: list[Refusal] = []
    if decision.item != case.key:
        found.append(_refusal("this item", "The decision is about another item; open that item."))
    if case.is_published:
        found.append(
            _refusal("open draft", "This draft is published and stays as it is; withdraw the edition instead.")
        )
    if decision.undone_at is not None:
        found.append(_refusal("not taken back", "This decision is taken back already; there is nothing to do."))
    if decision.by != reviewer.person and _UNDOES_ALL not in reviewer.roles:
        found.append(
            _refusal("own decision", "You may take back your own decisions; ask who decided, or an administrator.")
        )
    return tuple(found)


def must_hear(case: Case, decision: Decision) -> bool:
    """Whether its person must have listened first: to decide on danger, and to vouch for doubtful words."""
    is_danger = "danger" in (case.as_read.get("signal"), (decision.words or {}).get("signal"))
    doubtful = case.is_doubtful and decision.verdict != "rejected"
    return case.can_be_heard and bool(case.ranges) and (is_danger or doubtful)


def _about_hearing(case: Case, decision: Decision, reviewer: Reviewer) -> list[Refusal]:
    if not must_hear(case, decision):
        return []
    gaps = [gap for start_s, end_s in case.ranges for gap in unheard_of(start_s, end_s, reviewer.heard)]
    if not gaps:
        return []
    where = ", ".join(f"{clock(start_s)} to {clock(end_s + 0.999)}" for start_s, end_s in gaps)
    return [_refusal("hearing", f"You have not heard {where} of this item; play it, then decide.")]


def _about_words(case: Case, decision: Decision) -> list[Refusal]:
    words = decision.words or {}
    problems = problems_of(case.kind, amended(case.as_read, words))
    if problems:
        return [_refusal("sound words", f"These words cannot stand: {'; '.join(problems)}; mend them.")]
    if all(case.as_read.get(name) == value for name, value in words.items()):
        return [_refusal("sound words", "Nothing is amended; confirm the item, or change its words.")]
    return []


def _refusal(missing: Missing, sentence: str) -> Refusal:
    return Refusal(missing=missing, sentence=sentence)
