"""The sizes and limits that are usual, each with its standard. They may raise a question, never supply a value."""

import re
from fractions import Fraction
from typing import Literal

from vouchbook.models.quantities import Quantity

Subject = Literal["", "high-voltage pack", "12 V net", "hydrogen", "natural gas", "thermal relief"]
"""What a value is about, as far as it narrows what is usual."""


def _sizes(text: str) -> frozenset[Fraction]:
    """The sizes in ``text``, separated by commas; "1 1/8" is one size."""
    return frozenset(sum((Fraction(part) for part in size.split()), Fraction(0)) for size in text.split(","))


SPANNER_MM = _sizes(
    "4,4.5,5,5.5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,21,22,23,24,25,26,27,28,29,30,32,33,34,36,38,41,46,50,55,60"
)
"""Widths across flats of metric sockets and spanners: common practice, no source; holds all of :data:`HEX_HEAD_MM`."""
HEX_HEAD_MM = {
    # Hex head ISO 4014/4017, DIN 931/933, small flange ISO 15071 and EN 1662, large flange EN 1665, nut ISO 4161, JIS
    # small hex (from memory). Sources disagree on M14 (21 or 22) and M22 (32 or 34): both stand here.
    "M3": _sizes("5.5"), "M4": _sizes("7"), "M5": _sizes("7,8"), "M6": _sizes("8,10"), "M8": _sizes("10,12,13"),
    "M10": _sizes("13,14,15,16,17"), "M12": _sizes("15,16,17,18,19"), "M14": _sizes("18,19,21,22"),
    "M16": _sizes("21,22,24"), "M18": _sizes("24,27"), "M20": _sizes("27,30"), "M22": _sizes("30,32,34"),
    "M24": _sizes("32,36"),
}  # fmt: skip
"""Widths across flats that a thread is met with. A head and a thread said together need not match any of them."""
HEX_KEY_MM = _sizes(
    "0.7,0.9,1.3,1.5,2,2.5,3,3.5,4,4.5,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,21,22,23,24,27,29,30,32,36"
)
"""Hexagon keys, ISO 2936."""
SLOTTED_MM = _sizes("2.5,3,3.5,4,4.5,5.5,6.5,8,10")
"""Slotted bits, ISO 2380, from memory."""
HEXALOBULAR = frozenset({6, 8, 10, 15, 20, 25, 30, 40, 45, 50, 55, 60, 70, 80, 90, 100})
"""Internal hexalobular sockets, ISO 10664."""
HEXALOBULAR_BESIDE = frozenset({1, 2, 3, 4, 5, 7, 9, 27, 35, 47})
"""Internal hexalobular bits that are sold beside the series of ISO 10664: suppliers' lists."""
EXTERNAL_HEXALOBULAR = frozenset({4, 5, 6, 7, 8, 10, 11, 12, 14, 16, 18, 20, 22, 24})
"""From memory."""
CROSS_RECESS = frozenset({0, 1, 2, 3, 4})
"""PH and PZ of ISO 4757 and ISO 8764."""
THREADS = frozenset(
    {1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 42, 45, 48, 52, 56, 60}
)
"""Metric threads, ISO 261, from memory."""
SPANNER_IN = _sizes(
    "5/32,3/16,7/32,1/4,9/32,5/16,11/32,3/8,7/16,1/2,9/16,19/32,5/8,11/16,3/4,25/32,13/16,7/8,15/16,1,1 1/16,1 1/8,"
    "1 1/4,1 5/16,1 1/2"
)
"""Inch sockets: common practice, no source; holds the heads of :data:`HEX_HEAD_IN`."""
HEX_HEAD_IN = {
    Fraction(1, 4): Fraction(7, 16), Fraction(5, 16): Fraction(1, 2), Fraction(3, 8): Fraction(9, 16),
    Fraction(7, 16): Fraction(5, 8), Fraction(1, 2): Fraction(3, 4), Fraction(5, 8): Fraction(15, 16),
    Fraction(3, 4): Fraction(9, 8), Fraction(7, 8): Fraction(21, 16), Fraction(1): Fraction(3, 2),
}  # fmt: skip
"""Thread to width across flats of hex cap screws, ASME B18.2.1."""
HEX_KEY_IN = _sizes("1/16,5/64,3/32,7/64,1/8,9/64,5/32,3/16,7/32,1/4,5/16,3/8,7/16,1/2,9/16,5/8,3/4")
"""Inch hexagon keys, from memory."""
SQUARE_DRIVE_IN = _sizes("1/4,3/8,1/2,3/4,1")
"""Square drives, ISO 1174."""
SQUARE_DRIVE_MM = _sizes("6.3,10,12.5,20,25")
"""The metric names of the same drives in ISO 1174, from memory; names, not conversions."""
GLOVE_CLASSES = frozenset({"class 00", "class 0", "class 1", "class 2", "class 3", "class 4"})
"""Insulating gloves, IEC 60903 and ASTM D120."""

PLAUSIBLE: dict[tuple[Subject, str], tuple[float, float]] = {
    # Lowest and highest that are still usual, in the widest use of the trade, so that a question means something.
    ("", "V"): (0.0, 1500.0),  # high voltage on vehicles and in solar plants ends at 1500 V DC: UN R100, ISO 6469-3
    ("", "kV"): (0.4, 400.0),  # grids: common practice, no source
    ("", "bar"): (0.0, 875.0),  # hydrogen tank at 125 % of 700 bar, from memory
    ("", "MPa"): (0.0, 87.5),
    ("", "[psi]"): (0.0, 12_700.0),
    ("", "s"): (1.0, 3600.0),  # waits: common practice says 10 s to 30 min
    ("", "min"): (0.5, 60.0),
    ("", "h"): (0.1, 72.0),  # watching a battery after a fire: common practice, no source
    ("high-voltage pack", "V"): (48.0, 1000.0),  # common practice, no source
    ("12 V net", "V"): (0.0, 16.0),  # common practice, no source
    ("hydrogen", "bar"): (0.0, 875.0),
    ("natural gas", "bar"): (0.0, 275.0),  # 200 bar in Europe, 250 bar in North America, 10 % above
    ("natural gas", "[psi]"): (0.0, 4000.0),
    ("thermal relief", "Cel"): (100.0, 120.0),  # opens at 108 to 110 degrees Celsius: suppliers, from memory
}
"""Usual values by subject and UCUM code; the empty subject holds for all."""
_NAMED = re.compile(r"(T|E|M|PH|PZ)(\d+)")


def is_usual(size: Quantity) -> bool:
    """Whether ``size`` belongs to a usual series; anything that is no size is usual.

    Only for raising questions: an unusual size is shown as it was heard.
    """
    if size.upper is not None or size.dimension not in ("length", "drive", "bit", "thread", "glove class"):
        return True
    if size.dimension == "glove class":
        return size.normal in GLOVE_CLASSES
    if match := _NAMED.match(size.normal):
        return _is_usual_name(match[1], int(match[2]), match[2])
    if size.value is None or size.unit not in ("mm", "[in_i]"):
        return True
    is_drive = size.dimension == "drive"
    if size.unit == "mm":
        width = Fraction(str(size.value))
        return width in SQUARE_DRIVE_MM if is_drive else width in SPANNER_MM | HEX_KEY_MM | SLOTTED_MM
    inches = Fraction(size.value).limit_denominator(64)
    return inches in SQUARE_DRIVE_IN if is_drive else inches in SPANNER_IN | HEX_KEY_IN


def is_plausible(quantity: Quantity, subject: Subject = "") -> bool:
    """Whether a voltage, pressure or wait lies where the trade meets it; True where there is no table."""
    unit = quantity.unit or ""
    limits = PLAUSIBLE.get((subject, unit)) or PLAUSIBLE.get(("", unit))
    if limits is None or quantity.value is None:
        return True
    highest = quantity.value if quantity.upper is None else quantity.upper
    return limits[0] <= quantity.value and highest <= limits[1]


def fits_thread(width: Quantity, thread: Quantity) -> bool:
    """Whether a hex head of ``width`` is met on ``thread``, give or take one step between the columns of the standards.

    True when either is outside the tables: flange, small and castle heads are many.
    """
    widths = HEX_HEAD_MM.get(thread.normal)
    if not widths or width.unit != "mm" or width.value is None:
        return True
    series = sorted(SPANNER_MM)
    lowest, highest = min(widths), max(widths)
    below = [each for each in series if each < lowest][-1:]
    above = [each for each in series if each > highest][:1]
    return min([lowest, *below]) <= Fraction(str(width.value)) <= max([highest, *above])


def _is_usual_name(family: str, number: int, written: str) -> bool:
    if family == "T":
        return number in HEXALOBULAR | HEXALOBULAR_BESIDE
    if family == "E":
        return number in EXTERNAL_HEXALOBULAR
    if family == "M":
        return number in THREADS
    return written in ("00", "000") or number in CROSS_RECESS
