"""The values in a stretch of talk: sizes, counts, volts, waits and the rest, each with its exact words."""

from collections.abc import Collection, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from pydantic import Field

from vouchbook.extract.read import contexts
from vouchbook.extract.read.atoms import Atom, atoms
from vouchbook.extract.read.corrections import settle
from vouchbook.extract.read.measures import read_at
from vouchbook.extract.read.readings import Family, Reading, written
from vouchbook.extract.read.units import MM, UNITS
from vouchbook.models.quantities import Quantity
from vouchbook.models.record import Record

SizeFamily = Literal["across flats", "hexalobular", "external hexalobular", "thread", "cross recess", "pozidriv recess"]
"""What a bare number may be the size of, when the talk has named the fastener or the tool."""

_FAMILIES: dict[SizeFamily, Family] = {
    "hexalobular": "T", "external hexalobular": "E", "thread": "M", "cross recess": "PH", "pozidriv recess": "PZ",
}  # fmt: skip
_MAX_BARE_SIZE = 100
_DENIALS = frozenset({"not", "isn't", "aren't", "ain't", "wasn't", "weren't", "never"})


class Value(Record):
    """A value that stands in the words ``first`` to ``last``, both included; ``quantity.said`` is those words.

    ``is_size``: it can be the size of a tool or a fastener. ``is_drive``: it is a square drive, a size of the tool and
    never of the step. ``is_open``: the talk leaves it open between ``alternatives``; its ``normal`` names them all and
    ``value`` is None. ``is_label``: a name, a year or a clock position. ``is_plural``: "thirteens". ``is_asked``: said
    as a question. ``is_denied``: "not a ten". ``corrected_from``: what was said first and taken back, in order.
    """

    first: int = Field(ge=0)
    last: int = Field(ge=0)
    quantity: Quantity
    is_size: bool = False
    is_drive: bool = False
    is_open: bool = False
    is_label: bool = False
    is_plural: bool = False
    is_asked: bool = False
    is_denied: bool = False
    corrected_from: tuple["Value", ...] = ()
    alternatives: tuple[Quantity, ...] = ()

    @property
    def unit_said(self) -> bool:
        """Whether the unit or the kind was said with the number."""
        return self.quantity.unit_said

    @property
    def is_bare(self) -> bool:
        """A number without a unit, which the caller may take as a size, a count or a voltage."""
        return self.quantity.dimension == "number" and self.quantity.unit is None and not self.is_label

    @property
    def is_usable(self) -> bool:
        """Whether it can be shown as what somebody said it is: neither open nor denied."""
        return not (self.is_open or self.is_denied)


def values(tokens: Sequence[str], breaks: Collection[int] = ()) -> tuple[Value, ...]:
    """The values in ``tokens``, in order, none overlapping another.

    ``tokens`` are words as a transcript splits them, punctuation attached. A value that was taken back stands only
    under the one that replaced it. ``breaks`` are the words at which another person begins to speak: nobody corrects or
    continues another's value, so that "Ten mil." "No. Twelve." of two people stays two values that disagree.
    """
    edges = sorted({0, len(tokens), *(each for each in breaks if 0 < each < len(tokens))})
    found: list[Value] = []
    for first, after in pairwise(edges):
        found.extend(_turn(tokens, first, after))
    return tuple(found)


def _turn(tokens: Sequence[str], first: int, after: int) -> list[Value]:
    """The values in the words ``first`` up to ``after``, all of one person."""
    cut = atoms(tokens, first, after)
    found: list[Value] = []
    for reading in settle(cut, _read_all(cut)):
        value = _value(tokens, cut, reading)
        if found and value.first <= found[-1].last:  # two values in one word, "M8/T30": keep the one that says more
            if found[-1].quantity.unit_said or not value.quantity.unit_said:
                continue
            found.pop()
        found.append(value)
    return found


def as_size(value: Value, family: SizeFamily = "across flats") -> Quantity | None:
    """``value`` as the size of a tool or a fastener, or None.

    For callers that know that a tool or a fastener is the subject: a bare thirteen becomes "13 mm" with ``unit_said``
    False, or "T30", "PH2" and so on when ``family`` is known. None for what is open, denied, a range, a count or of
    another dimension.
    """
    quantity = value.quantity
    if not value.is_usable or quantity.upper is not None:
        return None
    is_numbered = value.is_label and family in ("cross recess", "pozidriv recess")  # "a number two"
    if not (value.is_bare or is_numbered):
        return quantity if value.is_size else None
    number = quantity.value
    if (
        number is None
        or not 0 <= number <= _MAX_BARE_SIZE
        or (number == 0 and family not in ("cross recess", "pozidriv recess"))
    ):
        return None
    if family == "across flats":
        return _rewritten(
            quantity, Reading(0, 0, Fraction(str(number)), unit=MM, bound=quantity.bound, unit_said=False)
        )
    if number != int(number):
        return None
    return _rewritten(quantity, Reading(0, 0, Fraction(int(number)), family=_FAMILIES[family], unit_said=False))


def as_count(value: Value) -> Quantity | None:
    """``value`` as a number of things; None when it has a unit, is open, denied, a label or no whole number above 0."""
    quantity = value.quantity
    if not value.is_usable or quantity.upper is not None or value.is_plural:
        return None
    if quantity.dimension == "count":
        return quantity
    number = quantity.value
    if not value.is_bare or number is None or number < 1 or number != int(number):
        return None
    return _rewritten(quantity, Reading(0, 0, Fraction(int(number)), is_count=True, bound=quantity.bound))


def as_unit(value: Value, ucum: str) -> Quantity | None:
    """A bare number in the unit that the talk is about ("four hundred" of a pack is "400 V"), with ``unit_said`` False.

    Also "thirty-six hundred pounds" as "[psi]" when a cylinder is the subject. None for values that have another unit.

    Raises:
        KeyError: ``ucum`` is no unit that is read here.
    """
    unit = UNITS[ucum]
    quantity = value.quantity
    if quantity.unit == ucum:
        return quantity if value.is_usable else None
    is_pounds = ucum == "[psi]" and quantity.unit == "[lb_av]"
    if not value.is_usable or not (value.is_bare or is_pounds) or quantity.value is None:
        return None
    upper = None if quantity.upper is None else Fraction(str(quantity.upper))
    is_strict = quantity.normal[0] in "<>"
    reading = Reading(
        0, 0, Fraction(str(quantity.value)), unit=unit, upper=upper, bound=quantity.bound, is_strict=is_strict
    )
    reading.unit_said = False
    return _rewritten(quantity, reading)


def _rewritten(quantity: Quantity, reading: Reading) -> Quantity:
    return written(reading, quantity.said)


def _read_all(cut: Sequence[Atom]) -> list[Reading]:
    found: list[Reading] = []
    at, floor, end = 0, 0, len(cut)
    while at < end:
        reading = read_at(cut, at) if cut[at].word else None
        if reading is None:
            at += 1
            continue
        _bound(cut, reading, floor)
        reading.is_asked = cut[reading.end].stop == "?"
        found.append(reading)
        at = floor = reading.end + 1
    return found


def _bound(cut: Sequence[Atom], reading: Reading, floor: int) -> None:
    """Takes "about", "at least", "under" into the value, and notes "not"."""
    if reading.is_label:
        return
    start = reading.start
    if start > floor and cut[start - 1].word in ("a", "an", "the") and not cut[start - 1].stop:
        start -= 1
    before = contexts.bound_before(cut, start, floor)
    if before and not (before.needs_unit and (reading.unit is None or reading.is_size)):
        reading.bound, reading.is_strict, reading.start = before.bound, before.is_strict, start - before.length
    elif after := contexts.bound_after(cut, reading.end + 1):
        reading.bound, reading.end = after[0], reading.end + after[1]
    elif start > floor and cut[start - 1].word in _DENIALS and not cut[start - 1].stop:
        reading.is_denied = True


def _value(tokens: Sequence[str], cut: Sequence[Atom], reading: Reading) -> Value:
    first, last = cut[reading.start].token, cut[reading.end].token
    return Value(
        first=first,
        last=last,
        quantity=written(reading, " ".join(tokens[first : last + 1])),
        is_size=reading.is_size and not reading.is_open and reading.upper is None,
        is_drive=reading.is_drive,
        is_open=reading.is_open,
        is_label=reading.is_label,
        is_plural=reading.is_plural,
        is_asked=reading.is_asked,
        is_denied=reading.is_denied,
        corrected_from=tuple(_value(tokens, cut, earlier) for earlier in reading.withdrawn),
        alternatives=tuple(_value(tokens, cut, choice).quantity for choice in reading.choices),
    )
