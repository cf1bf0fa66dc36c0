"""Spoken units: "mil", "newton metres", "pounds per square inch", each with its UCUM code and its printed form."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from vouchbook.extract.read.atoms import Atom
from vouchbook.models.quantities import Dimension


class Unit(NamedTuple):
    """A unit: ``ucum`` is its code in the Unified Code for Units of Measure, ``symbol`` is what is printed."""

    dimension: Dimension
    ucum: str
    symbol: str


class UnitWords(NamedTuple):
    """A unit as said, the index of the atom behind it, and whether the words are a plural ("volts", not "volt")."""

    unit: Unit
    after: int
    is_plural: bool


MM = Unit("length", "mm", "mm")
INCH = Unit("length", "[in_i]", "in")
FOOT = Unit("length", "[ft_i]", "ft")
VOLT = Unit("voltage", "V", "V")
BAR = Unit("pressure", "bar", "bar")
PSI = Unit("pressure", "[psi]", "psi")
POUND = Unit("mass", "[lb_av]", "lb")
SECOND = Unit("time", "s", "s")
MINUTE = Unit("time", "min", "min")
HOUR = Unit("time", "h", "h")
DAY = Unit("time", "d", "d")
DEGREE = Unit("angle", "deg", "°")
TURN = Unit("turns", "circ", "turn")
UNITS = {
    unit.ucum: unit
    for unit in (
        MM, INCH, FOOT, VOLT, BAR, PSI, POUND, SECOND, MINUTE, HOUR, DAY, DEGREE, TURN,
        Unit("length", "cm", "cm"), Unit("length", "m", "m"), Unit("length", "km", "km"),
        Unit("length", "[yd_i]", "yd"),
        Unit("length", "[mi_i]", "mi"), Unit("voltage", "kV", "kV"), Unit("voltage", "mV", "mV"),
        Unit("current", "A", "A"), Unit("current", "mA", "mA"), Unit("power", "W", "W"), Unit("power", "kW", "kW"),
        Unit("energy", "kW.h", "kWh"), Unit("energy", "J", "J"), Unit("charge", "A.h", "Ah"),
        Unit("pressure", "MPa", "MPa"), Unit("pressure", "kPa", "kPa"), Unit("pressure", "mbar", "mbar"),
        Unit("torque", "N.m", "N·m"), Unit("torque", "[ft_i].[lbf_av]", "ft·lbf"),
        Unit("torque", "[in_i].[lbf_av]", "in·lbf"), Unit("mass", "kg", "kg"), Unit("mass", "g", "g"),
        Unit("mass", "t", "t"), Unit("mass", "[ston_av]", "ton"),
        Unit("temperature", "Cel", "°C"), Unit("temperature", "[degF]", "°F"),
        Unit("time", "ms", "ms"), Unit("time", "wk", "week"), Unit("time", "mo", "month"), Unit("time", "a", "year"),
        Unit("percent", "%", "%"),
        # The records know no dimension for these; they are read so that their number is taken for nothing else.
        Unit("number", "L", "L"), Unit("number", "[gal_us]", "gal"), Unit("number", "Ohm", "Ω"),
        Unit("number", "Hz", "Hz"),
        Unit("number", "km/h", "km/h"), Unit("number", "[mi_i]/h", "mph"),
    )
}  # fmt: skip
"""Each unit that is read, by its UCUM code. "ton" is printed as said: it may be short, long or metric."""

CONVERTED = {"fortnight": (DAY, Fraction(14)), "[mil_i]": (INCH, Fraction(1, 1000))}
"""Units that are printed in another one."""

# Singular forms | plural forms. A form that is its own plural stands on both sides.
_SPOKEN = {
    "mm": "mil mill mm millimetre millimeter millimetres'|mils mills millimetres millimeters mms",
    "cm": "centimetre centimeter cm|centimetres centimeters",
    "m": "metre meter|metres meters",
    "km": "kilometre kilometer km|kilometres kilometers",
    "[in_i]": 'inch " of_an_inch|inches',
    "[ft_i]": "foot ft|feet",
    "[yd_i]": "yard|yards",
    "[mi_i]": "mile|miles",
    "[mil_i]": "thou|thou",
    "V": "volt|volts",
    "kV": "kilovolt kv|kilovolts",
    "mV": "millivolt mv|millivolts",
    "A": "amp ampere|amps amperes",
    "mA": "milliamp ma|milliamps",
    "W": "watt|watts",
    "kW": "kilowatt kw k_w|kilowatts",
    "kW.h": "kilowatt_hour kwh k_w_h|kilowatt_hours kwhs",
    "J": "joule|joules",
    "A.h": "amp_hour ah|amp_hours",
    "bar": "bar|bar",
    "[psi]": "psi p_s_i pound_per_square_inch|psi p_s_i pounds_per_square_inch",
    "MPa": "megapascal mpa|megapascals",
    "kPa": "kilopascal kpa|kilopascals",
    "mbar": "millibar mbar|millibars",
    "N.m": "newton_metre newton_meter nm n_m newtonmetre|newton_metres newton_meters newtonmetres",
    "[ft_i].[lbf_av]": "foot_pound ft_lb pound_foot|foot_pounds ft_lbs pound_feet pounds_feet",
    "[in_i].[lbf_av]": "inch_pound|inch_pounds",
    "kg": "kilo kg kilogram kilogramme|kilos kgs kilograms kilogrammes kilo",
    "g": "gram gramme|grams grammes",
    "t": "tonne|tonnes",
    "[ston_av]": "ton|tons",
    "[lb_av]": "pound lb|pounds lbs",
    "Cel": "degree_c degree_celsius degree_centigrade °c celsius centigrade|"
    "degrees_c degrees_celsius degrees_centigrade celsius centigrade",
    "[degF]": "degree_f degree_fahrenheit °f fahrenheit|degrees_f degrees_fahrenheit fahrenheit",
    "deg": "degree °|degrees",
    "ms": "millisecond ms|milliseconds",
    "s": "second sec|seconds secs",
    "min": "minute min|minutes mins",
    "h": "hour hr|hours hrs",
    "d": "day|days",
    "wk": "week|weeks",
    "mo": "month|months",
    "a": "year|years",
    "fortnight": "fortnight|fortnights",
    "circ": "turn revolution rev|turns revolutions revs",
    "%": "percent per_cent %|percent per_cent %",
    "L": "litre liter|litres liters",
    "[gal_us]": "gallon|gallons",
    "Ohm": "ohm|ohms",
    "Hz": "hertz|hertz",
    "km/h": "kilometre_an_hour kph k_p_h|kilometres_an_hour kilometres_per_hour kilometers_per_hour",
    "[mi_i]/h": "mile_an_hour mph m_p_h|miles_an_hour miles_per_hour",
}
_AFTER_FIGURES = {
    "v": "V", "a": "A", "w": "W", "m": "m", "s": "s", "h": "h", "g": "g", "t": "t", "in": "[in_i]", "l": "L",
    "kwh": "kW.h",
    "hz": "Hz", "c": "Cel", "f": "[degF]",
}  # fmt: skip
"""Letters that are units only when glued to figures: "400V", "3/8in"."""


def _by_first_word() -> dict[str, list[tuple[tuple[str, ...], str, bool]]]:
    table: dict[str, list[tuple[tuple[str, ...], str, bool]]] = {}
    for code, forms in _SPOKEN.items():
        singular, _, plural = forms.partition("|")
        for words, is_plural in ((plural, True), (singular, False)):
            for form in words.split():
                first, *rest = form.split("_")
                table.setdefault(first, []).append((tuple(rest), code, is_plural))
    for entries in table.values():
        entries.sort(key=lambda entry: -len(entry[0]))
    return table


_TABLE = _by_first_word()
UNIT_WORDS = frozenset(_TABLE)
"""Every word that can begin a unit."""


def read_unit(atoms: Sequence[Atom], at: int, *, is_glued: bool = False) -> tuple[UnitWords, Fraction] | None:
    """The unit that begins at ``at`` and the factor of its conversion, the longest that fits; None when there is none.

    ``is_glued``: figures stand before it in the same word, so that one letter is enough.
    """
    word = atoms[at].word
    if is_glued and word in _AFTER_FIGURES:
        return UnitWords(UNITS[_AFTER_FIGURES[word]], at + 1, is_plural=False), Fraction(1)
    for rest, code, is_plural in _TABLE.get(word, ()):
        after = at + 1
        for expected in rest:
            if atoms[after].word != expected or atoms[after - 1].stop:
                break
            after += 1
        else:
            unit, factor = CONVERTED.get(code) or (UNITS[code], Fraction(1))
            return UnitWords(unit, after, is_plural), factor
    return None
