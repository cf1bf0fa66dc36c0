"""The readable difference of two editions: items matched, then words, sizes, counts and order compared."""

from bisect import bisect_left
from collections.abc import Sequence

from vouchbook.library.editions.matching import Line, pairs
from vouchbook.library.review.words import changes
from vouchbook.models.editions import FieldChange, VouchedItem
from vouchbook.models.record import Record

_ORDERED = ("step", "warning")
"""The kinds whose place in the list means something."""


class ChangedItem(Record):
    """One item in both editions. ``moved`` where it stands elsewhere among the steps and warnings of both."""

    before: VouchedItem
    after: VouchedItem
    changes: tuple[FieldChange, ...] = ()
    moved: bool = False


class Difference(Record):
    """What changed. ``changed`` and ``new`` in the order of the newer edition, ``gone`` in that of the older."""

    changed: tuple[ChangedItem, ...] = ()
    new: tuple[VouchedItem, ...] = ()
    gone: tuple[VouchedItem, ...] = ()
    same: int = 0
    """How many items say the same in the same place."""

    @property
    def is_empty(self) -> bool:
        """Whether both say the same."""
        return not (self.changed or self.new or self.gone)

    @property
    def gone_warnings(self) -> tuple[VouchedItem, ...]:
        """The warnings among what is gone: what a reader must see first."""
        return tuple(item for item in self.gone if item.kind == "warning")


def difference(old: Sequence[VouchedItem], new: Sequence[VouchedItem]) -> Difference:
    """What changed from the items ``old`` of one edition to the items ``new`` of another, by the words as vouched."""
    matched = pairs([_line(item) for item in old], [_line(item) for item in new])
    moved = _moved([(o, n) for o, n in matched if new[n].kind in _ORDERED])
    changed: list[ChangedItem] = []
    for o, n in matched:
        fields = changes(old[o].as_vouched, new[n].as_vouched)
        if fields or n in moved:
            changed.append(ChangedItem(before=old[o], after=new[n], changes=fields, moved=n in moved))
    olds, news = {o for o, _ in matched}, {n for _, n in matched}
    return Difference(
        changed=tuple(changed),
        new=tuple(item for n, item in enumerate(new) if n not in news),
        gone=tuple(item for o, item in enumerate(old) if o not in olds),
        same=len(matched) - len(changed),
    )


def _line(item: VouchedItem) -> Line:
    return Line(item.kind, item.as_vouched)


def _moved(matched: Sequence[tuple[int, int]]) -> set[int]:
    """The new places of those that are not of the longest run in which both orders agree (the fewest moves)."""
    tails: list[int] = []
    at: list[int] = []
    back: list[int | None] = []
    for place, (o, _) in enumerate(matched):
        length = bisect_left(tails, o)
        tails[length : length + 1] = [o]
        at[length : length + 1] = [place]
        back.append(at[length - 1] if length else None)
    kept: set[int] = set()
    place_kept = at[-1] if at else None
    while place_kept is not None:
        kept.add(place_kept)
        place_kept = back[place_kept]
    return {n for place, (_, n) in enumerate(matched) if place not in kept}
