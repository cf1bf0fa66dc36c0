"""What a fully decided draft publishes. An edition holds its quotes itself: its hash, not a transcript, guards them."""

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

_NEEDED = {"phase", "action", "name", "part", "text", "hazard", "signal"}
_CHOICES = {"phase": tuple(Phase), "hazard": get_args(Hazard), "signal": get_args(Signal)}
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

    @model_validator(mode="after")
    def _is_a_sound_item(self) -> Self:
        problems = problems_of(self.kind, self.as_vouched)
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


class SettledQuestion(Record):
    """An open question and what became of it."""

    key: str = Field(pattern=r"^q[0-9]+$")
    kind: QuestionKind
    about: str = Field(min_length=1)
    ask: str = Field(min_length=1)
    phase: Phase | None = None
    quotes: tuple[Quoted, ...] = ()
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

    ``items`` stand in the order of the procedure, each warning before the step that it guards. ``rejected`` lists every
    warning that was decided against. ``replaces`` is the number of the edition before.
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
            if name in _NEEDED or value is not None:
                problems.append(f"{name} is empty")
        elif name == "count":
            if not isinstance(value, int) or isinstance(value, bool) or value < 1:
                problems.append(f"{value!r} is no count")
        elif not isinstance(value, str):
            problems.append(f"{name} is not text")
        elif name in _CHOICES and value not in _CHOICES[name]:
            problems.append(f"{value!r} is no {name}")
    action = f"{fields.get('action') or ''} ".lower().replace("\u2019", "'")
    if kind == "step" and action.startswith(tuple(f"{word} " for word in _FORBIDS)):
        problems.append("a step says what to do; what must not be done is a warning")
    return tuple(problems)


def _plain(value: object) -> FieldValue:
    if isinstance(value, Phase):
        return value.value
    return value if value is None or isinstance(value, int) else str(value) or None
