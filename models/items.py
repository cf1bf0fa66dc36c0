"""What a reviewer confirms or rejects, one at a time. No item exists without evidence."""

from typing import Annotated, Any, Literal, Self

from pydantic import Field, computed_field, model_validator

from vouchbook.models.evidence import Evidence
from vouchbook.models.phases import Phase
from vouchbook.models.quantities import Quantity
from vouchbook.models.record import Record

Hazard = Literal[
    "electric shock", "burn", "toxic fumes", "fire", "explosion", "crush", "fall", "pressure release", "projectile",
    "unexpected movement", "other",
]  # fmt: skip
Signal = Literal["danger", "warning", "caution", "notice"]
"""ANSI Z535.6, by consequence: will kill or maim; could; minor or moderate injury; damage to things only."""

ItemId = Annotated[str, Field(pattern=r"^i[0-9]+$")]
_DERIVED = ("start", "end", "quote", "size", "count")


class ItemBase(Record):
    """What all kinds share. ``evidence[0]`` is the place that says it; further entries say it again or complete it."""

    id: ItemId
    phase: Phase
    evidence: tuple[Evidence, ...] = Field(min_length=1)
    confidence: float = Field(ge=0, le=1)
    reasons: tuple[str, ...] = Field(min_length=1)
    """Why the confidence is what it is, in words."""

    @model_validator(mode="before")
    @classmethod
    def _drop_what_is_derived(cls, data: Any) -> Any:  # noqa: ANN401  whatever a file gives
        return {k: v for k, v in data.items() if k not in _DERIVED} if isinstance(data, dict) else data

    @computed_field  # type: ignore[prop-decorator]
    @property
    def start(self) -> float:
        """Seconds at which the words that say it begin."""
        return self.evidence[0].start_s

    @computed_field  # type: ignore[prop-decorator]
    @property
    def end(self) -> float:
        """Seconds at which the words that say it end."""
        return self.evidence[0].end_s

    @computed_field  # type: ignore[prop-decorator]
    @property
    def quote(self) -> str:
        """The exact words that say it."""
        return self.evidence[0].quote


class SizedItem(ItemBase):
    """An item that may carry a size and a count, both as said."""

    size_said: Quantity | None = None
    count_said: Quantity | None = None

    @computed_field  # type: ignore[prop-decorator]
    @property
    def size(self) -> str | None:
        """The size in its normal form, or None when nobody said one."""
        return self.size_said.normal if self.size_said else None

    @computed_field  # type: ignore[prop-decorator]
    @property
    def count(self) -> int | None:
        """How many, or None when nobody said it."""
        return int(self.count_said.value) if self.count_said and self.count_said.value is not None else None

    @model_validator(mode="after")
    def _values_are_quoted(self) -> Self:
        """A value that nobody said cannot be shown: its words must stand in the evidence."""
        for value in (self.size_said, self.count_said):
            if value and not any(f" {value.said} " in f" {evidence.quote} " for evidence in self.evidence):
                raise ValueError(f"no evidence of this item says {value.said!r}")
        return self


class StepItem(SizedItem):
    """Something the crew does. What must not be done is a warning, never a step."""

    kind: Literal["step"] = "step"
    action: str = Field(min_length=1)
    object: str
    tool: str | None = None
    place: str | None = None
    condition: str | None = None
    branch: str | None = Field(default=None, min_length=1)
    """Where it is another way: when, in the talk's words ("if that fails"). None for a step of the usual way."""
    instead_of: tuple[ItemId, ...] = ()
    """The steps that it replaces."""

    @model_validator(mode="after")
    def _another_way_replaces_something(self) -> Self:
        if (self.branch is None) != (not self.instead_of):
            raise ValueError("a step of a branch has both the branch's label and the steps that it replaces")
        return self


class ToolItem(SizedItem):
    """A tool or its size, named for a job. ``implied`` when only the size or the fastener was said."""

    kind: Literal["tool"] = "tool"
    name: str = Field(min_length=1)
    fastener: str | None = None
    implied: bool = False


class LocationItem(ItemBase):
    """Where a component is."""

    kind: Literal["location"] = "location"
    part: str = Field(min_length=1)
    place: str = Field(min_length=1)


class WarningItem(ItemBase):
    """A hazard, a prohibition or a limit."""

    kind: Literal["warning"] = "warning"
    text: str = Field(min_length=1)
    hazard: Hazard
    signal: Signal
    signal_reason: str = Field(min_length=1)
    """Why this signal word, by the definitions of ANSI Z535.6 in :data:`Signal`."""
    prohibits: str | None = None
    guards: tuple[ItemId, ...] = ()
    """The steps that it must be read before; none where it is about the whole topic."""


class CueItem(ItemBase):
    """How to recognise what you face or what state it is in."""

    kind: Literal["cue"] = "cue"
    text: str = Field(min_length=1)


Item = Annotated[StepItem | ToolItem | LocationItem | WarningItem | CueItem, Field(discriminator="kind")]
