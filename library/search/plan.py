"""A query as groups of index terms: every group must be found, any of its ways will do (pure)."""

from vouchbook.models.record import Record

EXACT, SYNONYM, SLIP = 1.0, 0.8, 0.5
"""How much a match counts, by how it came about."""


class Way(Record):
    """One way to find a group: index ``terms`` that follow each other, and what it is worth."""

    terms: tuple[str, ...]
    weight: float = EXACT

    @property
    def is_tag(self) -> bool:
        """Whether it is a filter's or a size's term and not words."""
        return "_" in self.terms[0]


class Group(Record):
    """What one part of the query may be found by. ``is_required``: a filter or a size, never given up.

    ``sentences`` is how many sentences hold one of the ways at most (None: not known), ``likely`` how many do, about.
    """

    ways: tuple[Way, ...]
    is_required: bool = False
    sentences: int | None = None
    likely: int = 0

    @property
    def asked(self) -> tuple[Way, ...]:
        """The ways without those that hold another one: "door" finds what "door leaf" does."""
        return tuple(way for way in self.ways if not any(_holds(way.terms, other.terms) for other in self.ways))

    @property
    def is_of_items(self) -> bool:
        """Whether only items have it, and no line of talk: a filter by kind, phase or hazard."""
        return all(way.terms[0][:2] in ("k_", "p_", "h_") and way.terms != ("k_said",) for way in self.ways)


def _holds(terms: tuple[str, ...], others: tuple[str, ...]) -> bool:
    """Whether ``others`` stand in ``terms``, one after the other, and are not all of them."""
    return len(others) < len(terms) and others in {
        terms[at : at + len(others)] for at in range(len(terms) - len(others) + 1)
    }


class Plan(Record):
    """What the index is asked.

    ``visits``: only these, None for all; ``visits_share``: which share of all they are, 0 to 1. ``sentences``: how many
    there are, ``items`` of them words of an item. ``is_impossible``: a filter that nothing meets.
    """

    groups: tuple[Group, ...] = ()
    excluded: tuple[tuple[str, ...], ...] = ()
    visits: frozenset[int] | None = None
    visits_share: float = 1.0
    lowest_place: int = 0
    sentences: int = 0
    items: int = 0
    is_impossible: bool = False

    @property
    def expected(self) -> float:
        """How many sentences match if the groups know nothing of each other, but for ways that they share."""
        share, seen = self.visits_share, set[tuple[str, ...]]()
        for group in sorted(self.groups, key=lambda group: group.likely):
            ways = {way.terms for way in group.asked}
            if group.sentences is not None and self.sentences and not ways & seen:
                share *= min(1.0, group.likely / self.sentences)
            seen |= ways
        return share * self.sentences

    def without_the_weakest(self) -> "Plan | None":
        """The plan without one group: one that nothing holds, or the most common; None when nothing else is left."""
        optional = [group for group in self.groups if not group.is_required]
        if len(optional) < 2 and not (optional and any(_is_telling(group) for group in self.groups)):
            return None
        weakest = min(optional, key=lambda group: (bool(group.sentences), -(group.sentences or 0)))
        return self.model_copy(update={"groups": tuple(group for group in self.groups if group is not weakest)})


def _is_telling(group: Group) -> bool:
    """Whether a required group says what is searched for (a phrase, a size), and not only where."""
    return group.is_required and (not group.ways[0].is_tag or group.ways[0].terms[0].startswith("z_"))
