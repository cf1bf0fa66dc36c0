"""A number and what stands behind it: its unit, a fraction of one, or nothing."""

from collections.abc import Sequence
from fractions import Fraction

from vouchbook.extract.read import contexts
from vouchbook.extract.read.atoms import Atom
from vouchbook.extract.read.bits import bit_behind
from vouchbook.extract.read.numbers import (
    Number,
    cardinal,
    digit,
    is_digit_word,
    number,
    simple_fraction,
    trailing_fraction,
)  # fmt: skip
from vouchbook.extract.read.readings import Reading, figures
from vouchbook.extract.read.units import DEGREE, FOOT, INCH, TURN, VOLT, UnitWords, read_unit

WHOLE = frozenset({"full", "whole", "complete", "good", "solid"})
"""Words that may stand before the unit: "two full turns"."""
STRETCH = frozenset({
    "away", "off", "back", "from", "or", "below", "above", "long", "deep", "wide", "clear", "of", "between",
})  # fmt: skip
"""Words behind "a foot" or "a yard" that make it a length."""
TURNING = frozenset({"turn", "twist", "rotate", "swing"})
"""Verbs whose bare number is an angle: "turn it ninety"."""
_PAIR_UNITS = ("voltage", "pressure", "current", "power")
_SHARE_WORDS = frozenset({
    "of", "full", "way", "ways", "empty", "charged", "charge", "past", "to", "panel", "panels", "glass", "light",
    "lights", "window", "windows", "shaft", "shafts", "open", "closed", "down", "up",
})  # fmt: skip
_THEM = frozenset({"them", "those", "these", "em", "'em", "the", "your", "my"})
_QUARTER_TURNS = frozenset({45, 90, 180, 270, 360})
_LARGEST_DRIVE = Fraction(3, 2)
"""Inches; square drives of ISO 1174 end at 1, heavy impact tools go to 1 1/2. A "six inch extension" is a length."""
_YEARS = range(1900, 2050)
_NOT_COMPOUND = frozenset({"to", "ish", "or", "and", "odd"})
_CLOCKWISE = frozenset({"clockwise", "anticlockwise", "counterclockwise"})
_NETS_V = frozenset({12, 24, 36, 48, 80})
"""Usual battery voltages: "two twelve-volt batteries" counts them."""


def numeric(atoms: Sequence[Atom], at: int) -> Reading | None:
    """The value whose number begins at ``at``; None for ordinals, shares ("half full") and times of day."""
    found = number(atoms, at)
    if found is None:
        return None
    if found.kind == "fraction":
        return _fraction(atoms, at, found)
    if contexts.is_by(atoms, at, found.after):  # "four by fours", "two by four": timber
        return Reading(at, found.after - 1, found.value, name=figures(found.value), is_label=True)
    if found.is_plural:
        is_many = atoms[found.after].word == "of" and not atoms[found.after - 1].stop
        return None if is_many else Reading(at, found.after - 1, found.value, is_plural=True)
    if reading := bit_behind(atoms, at, found):
        return reading
    found = _mixed_is_two(atoms, at, found)
    found = _paired(atoms, found)
    if contexts.is_ordinal(atoms, at, found.after):
        return None
    if atoms[found.after].word == "dozen" and not atoms[found.after - 1].stop:
        return Reading(at, found.after, found.value * 12, is_count=True)
    if unit := _unit_behind(atoms, found):
        return _measured(atoms, at, found, *unit)
    return _bare(atoms, at, found)


def _unit_behind(atoms: Sequence[Atom], found: Number) -> tuple[UnitWords, Fraction] | None:
    last = atoms[found.after - 1]
    if last.stop:
        return None
    is_figure = found.kind in ("numeral", "decimal") and last.word[:1].isdigit()
    if is_figure and atoms[found.after].word == "v":
        return UnitWords(VOLT, found.after + 1, is_plural=False), Fraction(1)
    if atoms[found.after].word in WHOLE and not atoms[found.after].stop:  # "two full turns"
        unit = read_unit(atoms, found.after + 1)
        return unit if unit and unit[0].unit.dimension in ("time", "turns") else None
    return read_unit(atoms, found.after, is_glued=is_figure and last.is_glued)


def _measured(atoms: Sequence[Atom], at: int, found: Number, words: UnitWords, factor: Fraction) -> Reading | None:
    unit, after, amount = words.unit, words.after, found.value
    if unit is FOOT and amount == 1 and atoms[after].word not in STRETCH and found.kind == "digit":
        return None
    if part := trailing_fraction(atoms, after) if amount.denominator == 1 and not atoms[after - 1].stop else None:
        amount, after = amount + part.value, part.after
    reading = Reading(at, after - 1, amount * factor, unit=unit, unit_is_plural=words.is_plural)
    return finish(atoms, reading)


def finish(atoms: Sequence[Atom], reading: Reading) -> Reading:
    """What belongs to a value with its unit: AC or DC, phases, the way a turn goes, inches behind feet, a drive."""
    after = reading.end + 1
    if reading.unit is INCH and reading.amount <= _LARGEST_DRIVE and contexts.is_drive(atoms, after):
        reading.is_drive = True
    elif not atoms[reading.end].stop:
        if reading.unit is VOLT:
            _current_kind(atoms, reading)
        elif reading.unit in (TURN, DEGREE):
            _sense(atoms, reading)
        elif reading.unit is FOOT:
            _inches(atoms, reading)
    return reading


def _current_kind(atoms: Sequence[Atom], reading: Reading) -> None:
    after = reading.end + 1
    first, second = atoms[after].word, atoms[after + 1].word
    if first in ("ac", "dc"):
        reading.end, reading.suffix = after, f" {first.upper()}"
    elif first in ("a", "d") and second == "c" and not atoms[after].stop:
        reading.end, reading.suffix = after + 1, f" {first.upper()}C"
    elif first in ("single", "three", "3") and second == "phase" and not atoms[after].stop:
        reading.end, reading.suffix = after + 1, " AC, 1 phase" if first == "single" else " AC, 3 phases"


def _sense(atoms: Sequence[Atom], reading: Reading) -> None:
    after = reading.end + 1
    word = atoms[after].word
    if word in ("anti", "counter") and atoms[after + 1].word == "clockwise" and not atoms[after].stop:
        reading.end, reading.suffix = after + 1, f", {word}clockwise"
    elif word in _CLOCKWISE:
        reading.end, reading.suffix = after, f", {word}"


def _inches(atoms: Sequence[Atom], reading: Reading) -> None:
    extra = cardinal(atoms, reading.end + 1)
    if extra is None or extra.is_plural or extra.value >= 12 or reading.amount.denominator > 1:
        return
    unit = _unit_behind(atoms, extra)
    if (unit and unit[0].unit is not INCH) or (not unit and contexts.counts_noun(atoms, extra.after)):
        return
    reading.inches, reading.end = extra.value, (unit[0].after if unit else extra.after) - 1


def _bare(atoms: Sequence[Atom], at: int, found: Number) -> Reading | None:
    after = found.after
    reading = Reading(at, after - 1, found.value, is_fraction=found.kind == "mixed")
    if clock := contexts.clock_end(atoms, after):
        return Reading(at, clock - 1, found.value, name=f"clock position {found.value}", is_label=True)
    if contexts.is_no_value(atoms, at, after):
        return None
    is_cut = bool(atoms[after - 1].stop)
    if not is_cut and atoms[after].word == "of" and atoms[after + 1].word in ("you", "us"):
        return None
    if (
        not is_cut
        and atoms[after].word in ("three", "single", "3")
        and atoms[after + 1].word == "phase"
        and found.value >= 100
    ):
        reading.unit, reading.unit_said = VOLT, False
        _current_kind(atoms, reading)
        return reading
    if at and not is_cut and _is_turned(atoms, at, found):
        reading.unit, reading.unit_said = DEGREE, False
        return reading
    if found.value.denominator == 1 and _is_counted(atoms, at, after, is_cut=is_cut):
        reading.is_count = True
    elif _is_name(atoms, at, found):
        reading.name, reading.is_label = str(found.value), True
    elif contexts.names_tool(atoms, after, found.value) or (at and atoms[at - 1].word == "size"):
        reading.names_tool = True
    return reading


def _is_name(atoms: Sequence[Atom], at: int, found: Number) -> bool:
    """A label, a year, or part of a compound that names a kind of thing ("three-phase", "four-wheel drive")."""
    following = atoms[found.after].word
    is_compound = atoms[found.after - 1].is_glued and following not in _NOT_COMPOUND and following[:1] != "'"
    is_year = found.value in _YEARS and found.value % 100 != 0
    return is_year or is_compound or contexts.is_label(atoms, at)


def _is_turned(atoms: Sequence[Atom], at: int, found: Number) -> bool:
    words = [atom.word for atom in atoms[max(at - 2, 0) : at]]
    return (
        found.value in _QUARTER_TURNS
        and words[:1] != []
        and words[0] in TURNING
        and words[-1] in ("it", "that", words[0])
    )


def _is_counted(atoms: Sequence[Atom], at: int, after: int, *, is_cut: bool) -> bool:
    if is_cut:
        return False
    if atoms[after].word == "of" and atoms[after + 1].word in _THEM and not atoms[after].stop:
        return True
    return contexts.counts_noun(atoms, after) or (
        at > 0 and atoms[at - 1].word == "all" and not atoms[at - 1].stop and atoms[after].word in ("of", "the")
    )


def _mixed_is_two(atoms: Sequence[Atom], at: int, found: Number) -> Number:
    """As in "a ten and a half-inch ratchet" is a ten and a drive."""
    if found.kind != "mixed" or found.value < 2 or atoms[found.after].word != "inch":
        return found
    if atoms[found.after - 1].is_glued and contexts.is_drive(atoms, found.after + 1):
        return cardinal(atoms, at) or found
    return found


def _paired(atoms: Sequence[Atom], first: Number) -> Number:
    """Pair speech: "three-fifty" is 350, "two oh one" 201, "nineteen ninety-eight" 1998; not "three twelve-mil"."""
    last = atoms[first.after - 1]
    if last.stop or first.kind not in ("digit", "teen", "tens") or not first.value:
        return first
    word, following = atoms[first.after].word, atoms[first.after + 1].word
    if word in ("oh", "zero", "o") and is_digit_word(following) and following != "oh" and not atoms[first.after].stop:
        return Number(first.value * 100 + digit(following), first.after + 2, "large")
    second = cardinal(atoms, first.after)
    if second is None or second.is_plural or second.kind not in ("teen", "tens") or simple_fraction(atoms, first.after):
        return first
    pair = Number(first.value * 100 + second.value, second.after, "large")
    unit = _unit_behind(atoms, second)
    if last.is_glued:
        return pair
    if unit:
        is_electric = unit[0].unit.dimension in _PAIR_UNITS
        is_counted = not unit[0].is_plural and unit[0].unit is VOLT and second.value in _NETS_V
        return pair if is_electric and first.kind == "digit" and not is_counted else first
    is_year = first.value in (19, 20) and first.kind in ("teen", "tens") and pair.value in _YEARS
    if contexts.counts_noun(atoms, second.after):
        return first if first.kind == "digit" else pair if is_year else first
    is_spelled = second.kind == "tens" or bool(atoms[second.after - 1].stop)
    return pair if is_year or (first.kind == "digit" and is_spelled) else first


def _fraction(atoms: Sequence[Atom], at: int, found: Number) -> Reading | None:
    """A fraction of a unit ("half a turn", "three quarters of a tonne") or of an inch, which need not be said."""
    after = found.after
    if not atoms[after - 1].stop:
        if reading := part_of_unit(atoms, at, found):
            return reading
        if atoms[after].word in _SHARE_WORDS:
            return None
    word = atoms[at].word
    if word in ("half", "quarter"):
        is_named = not atoms[at].stop and atoms[after].word in ("drive", "ratchet")
        return (
            Reading(at, at, found.value, unit=INCH, is_drive=True, unit_said=False, is_fraction=True)
            if is_named
            else None
        )
    if found.value >= 1 or found.value.denominator not in (2, 4, 8, 16, 32, 64):
        return None
    reading = Reading(at, after - 1, found.value, unit=INCH, unit_said=False, is_fraction=True)
    return finish(atoms, reading)


def part_of_unit(atoms: Sequence[Atom], at: int, found: Number) -> Reading | None:
    """The fraction ``found`` at ``at`` of the unit behind it: "half a turn", "three quarters of a tonne"; else None."""
    place, articles = found.after, ("a", "an")
    if atoms[place].word == "of" and atoms[place + 1].word in articles:
        place += 2
    elif atoms[place].word in articles:
        place += 1
    if atoms[place].word == "dozen":
        return Reading(at, place, found.value * 12, is_count=True) if found.value == Fraction(1, 2) else None
    is_figure = place == found.after and "/" in atoms[place - 1].word
    is_glued = is_figure and (atoms[place - 1].is_glued or contexts.is_inch_sign(atoms, place))
    unit = read_unit(atoms, place, is_glued=is_glued)
    if unit is None:
        return None
    words, factor = unit
    return finish(atoms, Reading(at, words.after - 1, found.value * factor, unit=words.unit, is_fraction=True))
