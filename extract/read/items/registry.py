"""The kinds of items: a new kind is one file here, one line below, and its record in ``models``."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items import cues, locations, steps, tools, warnings
from vouchbook.extract.read.talk import Talk
from vouchbook.models.items import CueItem, LocationItem, StepItem, ToolItem, WarningItem

ItemRecord = type[StepItem] | type[ToolItem] | type[LocationItem] | type[WarningItem] | type[CueItem]


@dataclass(frozen=True, slots=True)
class Kind:
    """How items of one kind come about.

    ``make`` finds them in a talk, in the order in which they are said; ``repeats`` tells whether a later one says an
    earlier one again; ``record`` is what they become.
    """

    make: Callable[[Talk], Iterable[Found]]
    repeats: Callable[[Found, Found], bool]
    record: ItemRecord


KINDS: dict[str, Kind] = {
    "step": Kind(steps.steps, steps.repeats, StepItem),
    "tool": Kind(tools.tools, tools.repeats, ToolItem),
    "location": Kind(locations.locations, locations.repeats, LocationItem),
    "warning": Kind(warnings.warnings, warnings.repeats, WarningItem),
    "cue": Kind(cues.cues, cues.repeats, CueItem),
}
