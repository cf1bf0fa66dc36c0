"""What people decide about the items and questions of a draft, and what they listened to before."""

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, StringConstraints, model_validator

from vouchbook.models.record import Record

Verdict = Literal["confirmed", "rejected", "amended"]
RejectReason = Literal["wrong words heard", "not a step", "wrong value", "duplicate", "unsafe", "other"]
Outcome = Literal["answered", "carried", "not needed"]

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, pattern=r"^[^\x00]*$")]
"""NUL is left out: no database keeps it in a text."""
FieldValue = str | int | None
Fields = Mapping[str, FieldValue]
"""Fields of an item as people read them: ``size`` in its normal form, ``count`` as a number, all others as text."""


class Taken(Record):
    """Something that a person did at a time and may have taken back later."""

    by: int
    """The person's number in the library."""
    at: AwareDatetime
    undone_at: AwareDatetime | None = None
    undone_by: int | None = None

    @model_validator(mode="after")
    def _taken_back_by_somebody(self) -> Self:
        if (self.undone_at is None) != (self.undone_by is None):
            raise ValueError("what is taken back has a person and a time, both")
        return self

    def undone(self, by: int, at: datetime) -> Self:
        """The same, taken back; it stays on the record."""
        return type(self).model_validate(self.model_dump() | {"undone_at": at, "undone_by": by})


class Judgement(Record):
    """A verdict and what goes with it. ``words`` holds the amended fields alone, each with its new value."""

    verdict: Verdict
    reason: RejectReason | None = None
    note: Text | None = None
    words: Fields | None = None

    @model_validator(mode="after")
    def _has_what_its_verdict_needs(self) -> Self:
        if (self.verdict == "rejected") != (self.reason is not None):
            raise ValueError("a rejection, and nothing else, has a reason")
        if self.reason == "other" and self.note is None:
            raise ValueError('the reason "other" needs a note that says which')
        if (self.verdict == "amended") != bool(self.words):
            raise ValueError("an amendment, and nothing else, has new words")
        return self


class Decision(Taken, Judgement):
    """One person's verdict on one item."""

    item: str = Field(pattern=r"^i[0-9]+$")


class Spot(Record):
    """A marked place in a still, in parts of its width and height from the upper left corner."""

    x: float = Field(ge=0, le=1)
    y: float = Field(ge=0, le=1)


class Answer(Record):
    """What becomes of an open question, and what goes with it."""

    outcome: Outcome
    answer: Text | None = None
    still_sha256: str | None = Field(default=None, pattern=r"^[0-9a-f]{64}$")
    spot: Spot | None = None

    @model_validator(mode="after")
    def _has_what_its_outcome_needs(self) -> Self:
        if (self.still_sha256 is None) != (self.spot is None):
            raise ValueError("a still goes with the spot that is marked in it, and a spot with its still")
        if self.outcome == "answered" and self.answer is None and self.still_sha256 is None:
            raise ValueError("an answered question has an answer, or a still with a marked spot")
        if self.outcome != "answered" and (self.answer is not None or self.still_sha256 is not None):
            raise ValueError(f"a question that is {self.outcome} has no answer and no still")
        return self


class Settlement(Taken, Answer):
    """What became of one open question, by whom and when."""

    question: str = Field(pattern=r"^q[0-9]+$")


class Play(Record):
    """A person listened to ``start_s`` to ``end_s`` of the recording with this hash, in the recording's own seconds."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    by: int
    start_s: float = Field(ge=0)
    end_s: float = Field(ge=0)
    at: AwareDatetime

    @model_validator(mode="after")
    def _lasts(self) -> Self:
        if self.end_s <= self.start_s:
            raise ValueError(f"a play from {self.start_s} to {self.end_s} s lasts no time")
        return self
