"""How near two subjects are: what is known of one says something about the other, or nothing."""

from typing import Literal

from vouchbook.models.subjects import Subject

Relation = Literal["same machine", "other years", "same kind and energy"]
RELATIONS: tuple[Relation, ...] = ("same machine", "other years", "same kind and energy")
"""From the nearest to the farthest."""


def relation(one: Subject, other: Subject) -> Relation | None:
    """How near two subjects are, or None. A subject without a first or last year has no limit on that side."""
    if _named(one.kind) == _named(other.kind):
        if _named(one.maker) == _named(other.maker) and _named(one.model) == _named(other.model):
            return "same machine" if _years_meet(one, other) else "other years"
        if _named(one.energy) and _named(one.energy) == _named(other.energy):
            return "same kind and energy"
    return None


def _years_meet(one: Subject, other: Subject) -> bool:
    def begins_in_time(first: Subject, second: Subject) -> bool:
        return first.years_from is None or second.years_to is None or first.years_from <= second.years_to

    return begins_in_time(one, other) and begins_in_time(other, one)


def _named(text: str | None) -> str:
    return " ".join((text or "").split()).casefold()
