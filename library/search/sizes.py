"""Sizes and other values as search terms: every spoken or written form is one normal form (pure)."""

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from vouchbook.extract.read.values import Value, values
from vouchbook.models.quantities import Quantity
from vouchbook.models.record import Record

MM_PER_INCH = 25.4
"""Exact (international inch)."""
_NEAR_PART, _NEAR_MM = 0.025, 0.3
"""How far "near" reaches, whichever is more: 3/8 in for 9.5 mm, never the next spanner. Ours, no source."""
_MOST_WORDS = 400
_NUMBER_WORDS = re.compile(
    r"\d|\b(?:(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|dozen|couple|pair|half|quarter|third"
    r"|fourth|fifth|sixth|tenth)(?:e?s)?|\w+teen\w*|(?:twent|thirt|fort|fift|sixt|sevent|eight|ninet)\w+|hundred\w*"
    r"|thousand\w*|halves|nought|naught|zero|double|oh|single|both)\b",
    re.IGNORECASE,
)
"""What every value is said with; most sentences hold none of it and need not be read for values."""


class Spot(NamedTuple):
    """A value in a text: its ``normal`` form and where it stands (``start`` to ``end``, characters)."""

    normal: str
    start: int
    end: int
    quantity: Quantity


class Size(Record):
    """A size that is searched for: ``normal`` form, or everything ``is_near`` it."""

    normal: str
    value: float | None = None
    unit: str | None = None
    dimension: str = "number"
    is_near: bool = False

    @property
    def is_bare(self) -> bool:
        """A number without a unit, which every unit satisfies."""
        return self.dimension == "number"


def spots(text: str) -> list[Spot]:
    """The values in ``text``, also those left open ("ten or twelve") and taken back, each by itself."""
    if not _NUMBER_WORDS.search(text):
        return []
    return list(_spots(text))


@lru_cache(maxsize=4096)
def _spots(text: str) -> tuple[Spot, ...]:
    tokens = list(re.finditer(r"\S+", text[:100_000]))[:_MOST_WORDS]
    found: list[Spot] = []
    for value in values([token.group() for token in tokens]):
        start, end = tokens[value.first].start(), tokens[value.last].end()
        found.extend(Spot(plain_normal(each), start, end, each) for each in _each(value))
    return tuple(found)


def _each(value: Value) -> Iterable[Quantity]:
    if value.alternatives:
        yield from value.alternatives
    else:
        yield value.quantity
    for earlier in value.corrected_from:
        yield from _each(earlier)


def plain_normal(quantity: Quantity) -> str:
    """The normal form without "about" and "at least": "≥ 10 min" is found by "10 min"."""
    return re.sub(r"^(?:[≥≤<>≈]|about)\s*|\s*\((?:about|approx)[^)]*\)$", "", quantity.normal).strip()


def size_of(spot: Spot, *, is_near: bool = False) -> Size:
    """``spot`` as something to search for."""
    quantity = spot.quantity
    return Size(
        normal=spot.normal,
        value=quantity.value,
        unit=quantity.unit,
        dimension=quantity.dimension,
        is_near=is_near,
    )


def is_asked_as_size(spot: Spot, text: str) -> bool:
    """Whether a value in typed text is meant as one: it has a unit or a kind, or is written in figures."""
    said = text[spot.start : spot.end]
    if spot.quantity.dimension == "count":
        return False
    return spot.quantity.dimension != "number" or any(char.isdigit() for char in said)


def millimetres(value: float | None, unit: str | None) -> float | None:
    """A length in mm; None for what is no length."""
    if value is None:
        return None
    factor = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "[in_i]": MM_PER_INCH}.get(unit or "")
    return None if factor is None else value * factor


def near_range(mm: float) -> tuple[float, float]:
    """The lengths in mm that are near ``mm``."""
    reach = max(_NEAR_MM, mm * _NEAR_PART)
    return mm - reach, mm + reach


def size_token(normal: str) -> str:
    """The index term of a normal form: letters, figures and underscores, one for each form."""
    return "z_" + "".join(c if c.isascii() and c.isalnum() else f"_{ord(c):x}_" for c in normal.casefold())
