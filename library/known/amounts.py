"""Times, voltages, lengths and weights in words: two items of one thing that say others contradict each other."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from vouchbook.library.editions.matching import likeness
from vouchbook.library.known.sides import Side
from vouchbook.library.search.sizes import spots
from vouchbook.models.editions import ItemKind

_SAID_IN: dict[ItemKind, tuple[str, ...]] = {
    "step": ("action", "object", "place", "condition"),
    "location": ("part", "place"),
    "warning": ("text",),
    "cue": ("text",),
    "tool": (),
}
"""The fields in which amounts are words among others; sizes and counts have fields of their own."""
_SAME_CONDITION = 70


class Amount(NamedTuple):
    """``said``, such as "seven minutes", of the ``dimension`` "time", in normal form "7 min"."""

    dimension: str
    normal: str
    said: str


class Differing(NamedTuple):
    """An amount that a draft says of something, and what the ``known`` items say of it instead."""

    here: Side
    known: tuple[Side, ...]
    said: str
    said_there: tuple[str, ...]


def differing(here: Sequence[Side], there: Sequence[Side], least: float) -> Iterator[Differing]:
    """Amounts of one thing that differ: of things told with several, only where no amount of the two is the same.

    ``least`` is the percent of likeness, without the amounts, from which two items are about one thing.
    """
    for side in here:
        amounts = amounts_of(side)
        same = [known for known in there if amounts and _is_one_thing(side, known, least)]
        for dimension in dict.fromkeys(amount.dimension for amount in amounts):
            mine = [amount for amount in amounts if amount.dimension == dimension]
            told = [(known, amount) for known in same for amount in amounts_of(known) if amount.dimension == dimension]
            if told and not {amount.normal for amount in mine} & {amount.normal for _, amount in told}:
                yield Differing(
                    side,
                    tuple({known.item: known for known, _ in told}.values()),
                    " and ".join(dict.fromkeys(amount.said for amount in mine)),
                    tuple(dict.fromkeys(amount.said for _, amount in told)),
                )


def agrees(side: Side, known: Side, least: float) -> bool:
    """Whether ``side`` says what ``known`` says, with the same amounts in whatever words: "10 min", "ten minutes"."""
    said, wanted = ({amount.normal for amount in amounts_of(one)} for one in (side, known))
    return bool(wanted) and wanted <= said and _is_one_thing(side, known, least)


def amounts_of(side: Side) -> list[Amount]:
    """All amounts in the words of an item."""
    return [
        Amount(spot.quantity.dimension, spot.normal, text[spot.start : spot.end])
        for text in _texts(side).values()
        for spot in spots(text)
    ]


def _is_one_thing(side: Side, known: Side, least: float) -> bool:
    """Whether two items are alike but for their amounts; where both have a condition, that is another thing's else."""
    if side.kind != known.kind or (side.kind == "step" and side.fields["phase"] != known.fields["phase"]):
        return False
    mine, theirs = _bare(side), _bare(known)
    conditions = mine.get("condition"), theirs.get("condition")
    if all(conditions) and likeness(*conditions) < _SAME_CONDITION:
        return False
    compared = [name for name in _SAID_IN[side.kind] if name not in ("place", "condition") or side.kind == "location"]
    return bool(compared) and all(likeness(mine.get(name), theirs.get(name)) >= least for name in compared)


def _bare(side: Side) -> dict[str, str]:
    """The words without the amounts."""
    bare = {}
    for name, text in _texts(side).items():
        kept, last = "", 0
        for spot in spots(text):
            kept += text[last : spot.start] + " "
            last = max(last, spot.end)
        bare[name] = kept + text[last:]
    return bare


def _texts(side: Side) -> dict[str, str]:
    return {name: str(side.fields[name]) for name in _SAID_IN[side.kind] if side.fields.get(name)}
