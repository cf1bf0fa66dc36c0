"""What an item maker found: an item before it has an id, a topic, a place in the order and a confidence."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, Self

from vouchbook.models.phases import Phase
from vouchbook.models.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Said:
    """A quantity and the words ``first`` to ``last`` of the transcript, both included, that say it."""

    quantity: Quantity
    first: int
    last: int
    is_drive: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """An item of ``kind``, a name in the registry of items, that tokens ``start`` to ``end`` (exclusive) say.

    ``line`` is the transcript's line in which it is said, ``also`` holds further token ranges that support it.
    ``fields`` are the record's own (action, object, part …). ``act`` is how plainly the words say it, 0 to 1, and
    ``reasons`` says why.
    """

    kind: str
    start: int
    end: int
    line: int
    fields: dict[str, Any]
    act: float
    reasons: tuple[str, ...]
    size: Said | None = None
    count: Said | None = None
    also: tuple[tuple[int, int], ...] = field(default=())
    weighed: tuple[int, ...] = ()
    """The places, among the weighed candidates of its kind, of those that it is made of, its own first."""
    topic: Phase | None = None
    """Where it is known from the words themselves; failing that it is told by what is talked of around them."""

    def with_(self, **changes: Any) -> Self:  # noqa: ANN401  any field
        """A copy with ``changes``."""
        return replace(self, **changes)


class Tie(NamedTuple):
    """The step at place ``step`` of the list, and in words why the talk ties an item to it."""

    step: int
    why: str


class Branch(NamedTuple):
    """Another way: its label in the talk's words, and the steps that it replaces."""

    label: str
    instead_of: tuple[Tie, ...]


class Placed(NamedTuple):
    """An item in its place on the list, under its topic.

    ``guards`` are the steps that a warning must be read before; ``branch`` tells what a step is another way of.
    """

    found: Found
    phase: Phase
    guards: tuple[Tie, ...] = ()
    branch: Branch | None = None

    def renumbered(self, place_of: Mapping[int, int]) -> "Placed":
        """The same item on a list in which the item at each place stands at ``place_of`` it."""
        branch = self.branch
        return self._replace(
            guards=_renumbered(self.guards, place_of),
            branch=branch and branch._replace(instead_of=_renumbered(branch.instead_of, place_of)),
        )


def _renumbered(ties: tuple[Tie, ...], place_of: Mapping[int, int]) -> tuple[Tie, ...]:
    return tuple(sorted(tie._replace(step=place_of[tie.step]) for tie in ties))
