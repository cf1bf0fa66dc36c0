"""Values with a unit, in one normal form, beside the words that were said."""

from typing import Literal

from pydantic import Field

from vouchbook.models.record import Record

Dimension = Literal[
    "length", "thread", "drive", "bit", "voltage", "current", "power", "energy", "charge", "pressure", "torque", "mass",
    "temperature", "time", "angle", "turns", "percent", "glove class", "count", "number",
]  # fmt: skip


class Quantity(Record):
    """One value as said.

    ``normal`` is what people read ("10 mm", "3/8 in", "T30", "400 V", "≥ 10 min"). ``value`` is the number
    in ``unit`` (a UCUM code, "mm", "[in_i]", "V", "bar"; None for names such as T30), or the lower end of a range whose
    upper end is ``upper``. ``said`` is the exact words of the transcript.
    """

    normal: str = Field(min_length=1)
    dimension: Dimension
    value: float | None = None
    upper: float | None = None
    unit: str | None = None
    bound: Literal["exact", "about", "at least", "at most", "range"] = "exact"
    unit_said: bool = True
    said: str = Field(min_length=1)
