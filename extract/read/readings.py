"""A value while it is being read, and how it is written down in the end."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from vouchbook.extract.read.units import DAY, DEGREE, HOUR, INCH, MINUTE, MM, SECOND, TURN, Unit
from vouchbook.models.quantities import Dimension, Quantity

Family = Literal["", "T", "E", "M", "PH", "PZ", "class"]
"""Sizes that are names: hexalobular, external hexalobular, thread, cross recess (two kinds), insulating glove."""
Bound = Literal["exact", "about", "at least", "at most", "range"]

EN_DASH = "\u2013"
"""Between the ends of a range."""

_FAMILY_DIMENSION: dict[str, Dimension] = {
    "T": "bit", "E": "bit", "PH": "bit", "PZ": "bit", "M": "thread", "class": "glove class",
}  # fmt: skip
_SMALLER = {MINUTE: (SECOND, 60), HOUR: (MINUTE, 60), DAY: (HOUR, 24)}
_INCH_DENOMINATORS = frozenset({1, 2, 4, 8, 16, 32, 64})
_INFLECTED = frozenset({"turn", "week", "month", "year"})
_MAX_SIZE_MM = 100
_MAX_SIZE_IN = Fraction(5, 2)


@dataclass(slots=True)
class Reading:
    """Atoms ``start`` to ``end`` (included) read as one value; ``amount`` counts ``unit``."""

    start: int
    end: int
    amount: Fraction
    unit: Unit | None = None
    family: Family = ""
    name: str = ""
    """The printed name where the number does not make it: "00" of glove class 00, "two o'clock" of a clock position."""
    suffix: str = ""
    upper: Fraction | None = None
    inches: Fraction | None = None
    bound: Bound = "exact"
    is_strict: bool = False
    unit_said: bool = True
    unit_is_plural: bool = False
    is_plural: bool = False
    is_fraction: bool = False
    is_drive: bool = False
    is_count: bool = False
    is_label: bool = False
    is_open: bool = False
    is_asked: bool = False
    is_denied: bool = False
    names_tool: bool = False
    withdrawn: list["Reading"] = field(default_factory=list)
    choices: list["Reading"] = field(default_factory=list)
    restated_from: int = -1
    """The atom at which the same number was first said, without its unit."""

    @property
    def is_bare(self) -> bool:
        """A number and nothing else."""
        return self.unit is None and not self.family and not self.is_label and not self.is_count

    @property
    def is_size(self) -> bool:
        """Whether it can be the size of a tool or a fastener."""
        if self.is_label or self.is_count:
            return False
        if self.family or self.is_drive:
            return True
        if self.unit is MM:
            return self.amount <= _MAX_SIZE_MM
        if self.unit is INCH:
            return self.amount <= _MAX_SIZE_IN and (
                1 < self.amount.denominator <= 64 or (self.amount.denominator == 1 and not self.unit_is_plural)
            )
        return self.unit is None and (self.is_plural or self.names_tool)

    @property
    def dimension(self) -> Dimension:
        """What the value measures."""
        if self.is_drive:
            return "drive"
        if self.family:
            return _FAMILY_DIMENSION[self.family]
        if self.unit:
            return self.unit.dimension
        return "count" if self.is_count else "number"


def figures(amount: Fraction) -> str:
    """``amount`` as a decimal without trailing zeros: 5.5, 10, -8, 0.015."""
    return str(amount) if amount.denominator == 1 else f"{float(amount):.6g}"


def inches(amount: Fraction) -> str:
    """``amount`` as an inch size: 3/8, 1 1/8, 2; a decimal when no rule is divided that way."""
    if amount.denominator in (3, 5, 6, 7, 9, 10, 12) and amount < 1:
        return str(amount)  # "five ninths of an inch" stays as said, for the question that it raises
    if amount.denominator not in _INCH_DENOMINATORS or amount < 0:
        return figures(amount)
    whole, part = divmod(amount, 1)
    return f"{whole} {part}" if whole and part else str(part or whole)


def written(reading: Reading, said: str) -> Quantity:
    """The record of ``reading``, said as ``said``."""
    if reading.choices:
        return Quantity(normal=_choices(reading), dimension=reading.dimension, unit=_code(reading), said=said,
                        unit_said=reading.unit_said)  # fmt: skip
    if reading.is_label:
        return Quantity(
            normal=reading.name,
            dimension="number",
            value=float(reading.amount),
            upper=None if reading.upper is None else float(reading.upper),
            bound="exact" if reading.upper is None else "range",
            unit_said=False,
            said=said,
        )
    unit, scale = _print_unit(reading)
    amount = reading.amount * scale
    upper = None if reading.upper is None else reading.upper * scale
    return Quantity(
        normal=_bounded(reading, _body(reading, unit, amount, upper)),
        dimension=reading.dimension,
        value=None if reading.family else float(amount + (reading.inches or 0) / 12),
        upper=None if upper is None else float(upper),
        unit=unit.ucum if unit else "1" if reading.is_count else None,
        bound=reading.bound,
        unit_said=reading.unit_said and (unit is not None or bool(reading.family) or reading.is_count),
        said=said,
    )


def _code(reading: Reading) -> str | None:
    return reading.unit.ucum if reading.unit else None


def _choices(reading: Reading) -> str:
    bodies = [_body(choice, choice.unit, choice.amount, None) for choice in reading.choices]
    symbol = f" {reading.unit.symbol}" if reading.unit else ""
    if symbol and all(body.endswith(symbol) for body in bodies):
        bodies = [body.removesuffix(symbol) for body in bodies[:-1]] + bodies[-1:]
    return " or ".join(bodies)


def _print_unit(reading: Reading) -> tuple[Unit | None, int]:
    """Parts of a minute, an hour or a day are printed in the next smaller unit: half an hour is 30 min."""
    unit = reading.unit
    if unit in _SMALLER and reading.upper is None and reading.amount.denominator > 1 and reading.amount < 2:
        smaller, scale = _SMALLER[unit]
        if (reading.amount * scale).denominator == 1:
            return smaller, scale
    return unit, 1


def _body(reading: Reading, unit: Unit | None, amount: Fraction, upper: Fraction | None) -> str:
    if reading.family:
        return _named(reading)
    if reading.inches is not None:
        return f"{figures(amount)} ft {inches(reading.inches)} in"
    number = _number(unit, amount)
    if upper is not None:
        number += f"{EN_DASH}{_number(unit, upper)}"
    if unit is None:
        return number + reading.suffix
    if unit is DEGREE:
        return f"{number}{'' if is_plain_angle(reading) else ' '}°{reading.suffix}"
    symbol = unit.symbol + "s" if unit.symbol in _INFLECTED and (upper or amount) > 1 else unit.symbol
    return f"{number} {symbol}{reading.suffix}"


def _named(reading: Reading) -> str:
    gap = " " if reading.family == "class" else ""
    number = reading.name or figures(reading.amount)
    upper = "" if reading.upper is None else f"{EN_DASH}{reading.family}{gap}{figures(reading.upper)}"
    return f"{reading.family}{gap}{number}{upper}{reading.suffix}"


def _number(unit: Unit | None, amount: Fraction) -> str:
    if unit is INCH:
        return inches(amount)
    if unit is TURN and 0 < amount < 1:
        return str(amount)
    return figures(amount)


def is_plain_angle(reading: Reading) -> bool:
    """Whether degrees are an angle: a part of a turn that people turn things by. Others may be a temperature."""
    return reading.amount > 0 and reading.amount % 45 == 0


def _bounded(reading: Reading, body: str) -> str:
    if reading.bound == "about":
        # A size leads its own column, so that the doubt stands behind it.
        return f"{body} (about)" if reading.unit in (MM, INCH) and reading.is_size else f"about {body}"
    if reading.bound == "at least":
        return f"{'>' if reading.is_strict else '≥'} {body}"
    if reading.bound == "at most":
        return f"{'<' if reading.is_strict else '≤'} {body}"
    return body
