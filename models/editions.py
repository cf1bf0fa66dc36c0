"""What a fully decided draft publishes. An edition holds its quotes itself: its hash, not a transcript, guards them."""

from collections.abc import Collection
from datetime import date
from typing import ClassVar, Literal, Self, get_args

from pydantic import AwareDatetime, Field, model_validator

from vouchbook.models.decisions import Fields, FieldValue, Outcome, RejectReason, Spot, Text
from vouchbook.models.draft import CAUTION
from vouchbook.models.evidence import Evidence
from vouchbook.models.items import Hazard, Item, Signal
from vouchbook.models.phases import Phase
from vouchbook.models.questions import QuestionKind
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject

ItemKind = Literal["step", "tool", "location", "warning", "cue"]
Origin = Literal["recording", "by hand", "other source"]

FIELDS: dict[ItemKind, tuple[str, ...]] = {
    "step": ("phase", "action", "object", "tool", "place", "condition", "size", "count"),
    "tool": ("phase", "name", "fastener", "size", "count"),
    "location": ("phase", "part", "place"),
    "warning": ("phase", "text", "hazard", "signal", "prohibits"),
    "cue": ("phase", "text"),
}
"""What people read of each kind, and what they may amend of it; its kind, its evidence and its seconds they may not."""

NEEDED = {"phase", "action", "name", "part", "text", "hazard", "signal"}
"""The fields that are never empty, where an item has them."""
CHOICES = {"phase": tuple(Phase), "hazard": get_args(Hazard), "signal": get_args(Signal)}
"""The fields that are one of several words."""
_FORBIDS = ("do not", "don't", "dont", "never", "must not", "mustn't", "no", "not", "cannot", "can't", "avoid")


class Piece(Record):
    """Words that were kept, taken out or put in."""

    what: Literal["kept", "out", "in"]
    words: str = Field(min_length=1)


class FieldChange(Record):
    """One field before and after, and the change word by word."""

    field: str
    before: FieldValue
    after: FieldValue
    pieces: tuple[Piece, ...]


class Quoted(Record):
    """Words that support something, as the transcript has them, with their seconds on the visit's clock."""

    first_word: int = Field(ge=0)
    last_word: int = Field(ge=0)
    quote: str = Field(min_length=1)
    start_s: float = Field(ge=0)
    end_s: float = Field(ge=0)
    voice: str | None = None


class Voucher(Record):
    """Who vouched, by number and name as it was then, and when."""

    person: int
    name: str = Field(min_length=1)
    at: AwareDatetime


class Borrowed(Record):
    """Where an item comes from that another visit said: it enters by decision, with that visit's evidence."""

    subject: Subject
    edition: int = Field(ge=1)
    visit: str = Field(min_length=1)
    item: str = Field(pattern=r"^i[0-9]+$")


class Bonds(Record):
    """The steps that an item is bound to, by their keys.

    A warning stands before each step of ``guards``; none where it is about the whole topic. A step with a ``branch`` is
    another way, in the talk's words, ``instead_of`` those steps. ``signal_reason`` says why the signal word; None where
    a person chose the word.
    """

    guards: tuple[str, ...] = ()
    branch: Text | None = None
    instead_of: tuple[str, ...] = ()
    signal_reason: Text | None = None

    @property
    def steps(self) -> tuple[str, ...]:
        """All steps that are named."""
        return (*self.guards, *self.instead_of)

    def among(self, keys: Collection[str]) -> "Bonds":
        """The same without the steps that are not in ``keys``; a branch keeps its label: when it is done stays true."""
        guards = tuple(key for key in self.guards if key in keys)
        instead_of = tuple(key for key in self.instead_of if key in keys)
        return self.model_copy(update={"guards": guards, "instead_of": instead_of})

    def problems(self, kind: ItemKind) -> tuple[str, ...]:
        """Why an item of ``kind`` cannot be bound like this, one clause each; empty when it can."""
        problems = []
        if self.guards and kind != "warning":
            problems.append("only a warning guards steps")
        if (self.branch or self.instead_of) and kind != "step":
            problems.append("only a step is another way")
        if self.instead_of and not self.branch:
            problems.append("another way says when it is taken")
        if len(set(self.steps)) != len(self.steps):
            problems.append("a step is named twice")
        return tuple(problems)


class DecidedItem(Record):
    """What is known of an item whichever way it was decided. ``as_read`` and ``quotes`` never change."""

    key: str = Field(pattern=r"^i[0-9]+$")
    kind: ItemKind
    origin: Origin = "recording"
    source_note: Text | None = None
    borrowed: Borrowed | None = None
    as_read: Fields
    quotes: tuple[Quoted, ...] = ()
    first: Voucher
    second: Voucher | None = None

    @model_validator(mode="after")
    def _rests_on_something(self) -> Self:
        if self.origin == "other source":
            if self.source_note is None and self.borrowed is None:
                raise ValueError("an item that is not from the recording names its source")
        elif not self.quotes:
            raise ValueError("an item from the recording has the words that say it")
        if self.borrowed is not None and not self.quotes:
            raise ValueError("a borrowed item has the words of the other visit")
        return self

    @model_validator(mode="after")
    def _two_are_two(self) -> Self:
        if self.second is not None and self.second.person == self.first.person:
            raise ValueError("the second person is another than the first")
        return self


class VouchedItem(DecidedItem):
    """An item as it was vouched for. Words that nobody said can stand here: a named person put them in, visibly."""

    as_vouched: Fields
    changes: tuple[FieldChange, ...] = ()
    bonds: Bonds = Bonds()

    @model_validator(mode="after")
    def _is_a_sound_item(self) -> Self:
        problems = (*problems_of(self.kind, self.as_vouched), *self.bonds.problems(self.kind))
        if problems:
            raise ValueError("; ".join(problems))
        values = {n: (self.as_read.get(n), self.as_vouched.get(n)) for n in FIELDS[self.kind]}
        made = {n: value for n, value in values.items() if value[0] != value[1]}
        if made != {change.field: (change.before, change.after) for change in self.changes}:
            raise ValueError("the changes that are told are not those that were made")
        return self


class RejectedItem(DecidedItem):
    """An item that was decided against, with the reason."""

    reason: RejectReason
    note: Text | None = None


class AskedQuestion(Record):
    """A question that the talk left open, or that the edition of the number ``carried_from`` carried over."""

    key: str = Field(pattern=r"^q[0-9]+$")
    kind: QuestionKind
    about: str = Field(min_length=1)
    ask: str = Field(min_length=1)
    phase: Phase | None = None
    quotes: tuple[Quoted, ...] = ()
    carried_from: int | None = Field(default=None, ge=1)


class SettledQuestion(AskedQuestion):
    """An open question and what became of it."""

    outcome: Outcome
    answer: Text | None = None
    still_sha256: str | None = None
    spot: Spot | None = None
    settled: Voucher


class VisitNamed(Record):
    """The visit as an edition names it."""

    key: str = Field(min_length=1)
    place: str = ""
    held_on: date
    draft: int = Field(ge=1)
    draft_sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


class Edition(Record):
    """The content of an edition: all that it says, and all that its hash covers.

    ``items`` stand in the order of the procedure, each warning before the steps that it guards, another way behind
    those that it replaces. ``rejected`` lists every warning that was decided against. ``replaces`` is the number of
    the edition before; ``let_go`` holds its warnings that this one has no more, as who published knew.
    """

    VERSION: ClassVar[int] = 1

    version: int = VERSION
    caution: str = CAUTION
    subject: Subject
    number: int = Field(ge=1)
    replaces: int | None = Field(default=None, ge=1)
    visit: VisitNamed
    published: Voucher
    reverify_on: date
    one_person_note: str | None = None
    items: tuple[VouchedItem, ...] = ()
    rejected: tuple[RejectedItem, ...] = ()
    let_go: tuple[VouchedItem, ...] = ()
    questions: tuple[SettledQuestion, ...] = ()

    @model_validator(mode="after")
    def _numbers_go_up(self) -> Self:
        if self.replaces is not None and self.replaces >= self.number:
            raise ValueError(f"edition {self.number} cannot replace edition {self.replaces}")
        return self

    @model_validator(mode="after")
    def _keys_are_unique(self) -> Self:
        keys = [item.key for item in (*self.items, *self.rejected)]
        if len(set(keys)) != len(keys):
            raise ValueError("two items share a key")
        return self

    @model_validator(mode="after")
    def _warnings_come_first(self) -> Self:
        place_of = {item.key: place for place, item in enumerate(self.items) if item.kind == "step"}
        for place, item in enumerate(self.items):
            for key in item.bonds.steps:
                if key not in place_of:
                    raise ValueError(f"{item.key} names {key}, which is no step of this edition")
                if (item.kind == "warning") != (place < place_of[key]):
                    raise ValueError(f"{item.key} stands on the wrong side of {key}")
        return self


def fields_of(item: Item) -> dict[str, FieldValue]:
    """The fields of ``item`` as people read them, in the order of :data:`FIELDS`."""
    return {name: _plain(getattr(item, name)) for name in FIELDS[item.kind]}


def quotes_of(evidence: tuple[Evidence, ...]) -> tuple[Quoted, ...]:
    """The same words and seconds, as an edition holds them."""
    return tuple(Quoted.model_validate(entry.model_dump()) for entry in evidence)


def problems_of(kind: ItemKind, fields: Fields) -> tuple[str, ...]:
    """Why ``fields`` are no sound item of ``kind``, one clause each; empty when they are."""
    problems = [f"a {kind} has no {name} that could be amended" for name in fields if name not in FIELDS[kind]]
    for name in FIELDS[kind]:
        value = fields.get(name)
        if value is None or (isinstance(value, str) and not value.strip()):
            if name in NEEDED or value is not None:
                problems.append(f"{name} is empty")
        elif name == "count":
            if not isinstance(value, int) or isinstance(value, bool) or value < 1:
                problems.append(f"{value!r} is no count")
        elif not isinstance(value, str):
            problems.append(f"{name} is not text")
        elif name in CHOICES and value not in CHOICES[name]:
            problems.append(f"{value!r} is no {name}")
    action = f"{fields.get('action') or ''} ".lower().replace("\u2019", "'")
    if kind == "step" and action.startswith(tuple(f"{word} " for word in _FORBIDS)):
        problems.append("a step says what to do; what must not be done is a warning")
    return tuple(problems)


def _plain(value: object) -> FieldValue:
    if isinstance(value, Phase):
        return value.value
    return value if value is None or isinstance(value, int) else str(value) or None
