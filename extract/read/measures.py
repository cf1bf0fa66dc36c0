"""One value at one place: a number with its unit, a fraction, a count or a name, each by its own reader."""

from collections.abc import Callable, Sequence
from fractions import Fraction

from vouchbook.extract.read import contexts
from vouchbook.extract.read.atoms import Atom
from vouchbook.extract.read.bits import BIT_STARTERS, bit_behind, read_bit
from vouchbook.extract.read.numbers import (
    WORDS,
    Number,
    cardinal,
    digit,
    is_digit_word,
    number,
    simple_fraction,
    trailing_fraction,
)  # fmt: skip
from vouchbook.extract.read.readings import Reading, figures
from vouchbook.extract.read.units import (
    BAR,
    DEGREE,
    FOOT,
    INCH,
    PSI,
    TURN,
    VOLT,
    UnitWords,
    read_unit,
)  # fmt: skip

_PAIR_UNITS = ("voltage", "pressure", "current", "power")
_SHARE_WORDS = frozenset({
    "of", "full", "way", "ways", "empty", "charged", "charge", "past", "to", "panel", "panels", "glass", "light",
    "lights", "window", "windows", "shaft", "shafts", "open", "closed", "down", "up",
})  # fmt: skip
_PAIRED_GOODS = frozenset({
    "pliers", "gloves", "cutters", "scissors", "snips", "shears", "goggles", "glasses", "tongs", "steps", "overalls",
    "grips",
})  # fmt: skip
_THEM = frozenset({"them", "those", "these", "em", "'em", "the", "your", "my"})
_ARTICLE_UNITS = frozenset(
    {"inch", "metre", "meter", "hour", "day", "week", "fortnight", "month", "year", "ton", "tonne", "mil"}
)
_STRETCH = frozenset(
    {"away", "off", "back", "from", "or", "below", "above", "long", "deep", "wide", "clear", "of", "between"}
)
_WAITING = frozenset(
    {"about", "least", "most", "for", "full", "within", "than", "every", "takes", "to", "over", "under", "whole"}
)
_TURNING = frozenset({"turn", "twist", "rotate", "swing", "quarter-turn"})
_QUARTER_TURNS = frozenset({45, 90, 180, 270, 360})
_LARGEST_DRIVE = Fraction(3, 2)
"""Inches; square drives of ISO 1174 end at 1, heavy impact tools go to 1 1/2. A "six inch extension" is a length."""
_YEARS = range(1900, 2050)
_WHOLE = frozenset({"full", "whole", "complete", "good", "solid"})
_NOT_COMPOUND = frozenset({"to", "ish", "or", "and", "odd"})
_CLOCKWISE = {"clockwise": "clockwise", "anticlockwise": "anticlockwise", "counterclockwise": "counterclockwise"}


def read_at(atoms: Sequence[Atom], at: int) -> Reading | None:
    """The value that begins at ``at``, without the words that bound or correct it; None when none begins there."""
    word = atoms[at].word
    reader = _READERS.get(word)
    if reader is None:
        return _numeric(atoms, at) if word[:1].isdigit() or word[:1] == "." else None
    return reader(atoms, at)


def _numeric(atoms: Sequence[Atom], at: int) -> Reading | None:
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
    found = _paired(atoms, at, found)
    if contexts.is_ordinal(atoms, at, found.after):
        return None
    if atoms[found.after].word == "dozen" and not atoms[found.after - 1].stop:
        return Reading(at, found.after, found.value * 12, is_count=True)
    if unit := _unit_behind(atoms, found):
        return _measured(atoms, at, found, *unit)
    return _bare(atoms, at, found)


def _one(atoms: Sequence[Atom], at: int) -> Reading | None:
    following = atoms[at + 1].word
    is_choice = following in ("or", "to") and (atoms[at + 2].word in WORDS or atoms[at + 2].word[:1].isdigit())
    is_mixed = following == "and" and trailing_fraction(atoms, at + 1) is not None
    if not atoms[at].stop and (following in ("hundred", "thousand", "million", "point", "oh") or is_choice or is_mixed):
        return _numeric(atoms, at)
    is_turned = at > 1 and atoms[at - 2].word in _TURNING and following in ("eighty", "twenty")
    if is_turned or contexts.is_label(atoms, at) or contexts.clock_end(atoms, at + 1):
        return _numeric(atoms, at)
    if contexts.is_pronoun_one(atoms, at):
        words = [atom.word for atom in atoms[max(at - 2, 0) : at]]
        if atoms[at].stop and (words[-1:] in (["just"], ["only"]) or words in (["just", "the"], ["only", "the"])):
            return Reading(at, at, Fraction(1), is_count=True)
        is_minute = (
            following == "minute" and not atoms[at].stop and not (at and atoms[at - 1].word in contexts.DETERMINERS)
        )
        return _numeric(atoms, at) if is_minute else None
    return _numeric(atoms, at)


def _unit_behind(atoms: Sequence[Atom], found: Number) -> tuple[UnitWords, Fraction] | None:
    last = atoms[found.after - 1]
    if last.stop:
        return None
    is_figure = found.kind in ("numeral", "decimal") and last.word[:1].isdigit()
    if is_figure and atoms[found.after].word == "v":
        return UnitWords(VOLT, found.after + 1, is_plural=False), Fraction(1)
    if atoms[found.after].word in _WHOLE and not atoms[found.after].stop:  # "two full turns"
        unit = read_unit(atoms, found.after + 1)
        return unit if unit and unit[0].unit.dimension in ("time", "turns") else None
    return read_unit(atoms, found.after, is_glued=is_figure and last.is_glued)


def _measured(atoms: Sequence[Atom], at: int, found: Number, words: UnitWords, factor: Fraction) -> Reading | None:
    unit, after, amount = words.unit, words.after, found.value
    if unit is FOOT and amount == 1 and atoms[after].word not in _STRETCH and found.kind == "digit":
        return None
    if part := trailing_fraction(atoms, after) if amount.denominator == 1 and not atoms[after - 1].stop else None:
        amount, after = amount + part.value, part.after
    reading = Reading(at, after - 1, amount * factor, unit=unit, unit_is_plural=words.is_plural)
    return _finish(atoms, reading)


def _finish(atoms: Sequence[Atom], reading: Reading) -> Reading:
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
        reading.end, reading.suffix = after, f", {_CLOCKWISE[word]}"


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
        and words[0] in _TURNING
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


def _paired(atoms: Sequence[Atom], at: int, first: Number) -> Number:
    """Pair speech: "three-fifty" is 350, "two oh one" 201, "nineteen ninety-eight" 1998; "three twelve-mil" stays two."""
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
        is_counted = not unit[0].is_plural and unit[0].unit is VOLT and second.value in (12, 24, 36, 48, 80)
        return pair if is_electric and first.kind == "digit" and not is_counted else first
    is_year = first.value in (19, 20) and first.kind in ("teen", "tens") and pair.value in _YEARS
    if contexts.counts_noun(atoms, second.after):
        return first if first.kind == "digit" else pair if is_year else first
    is_spelled = second.kind == "tens" or bool(atoms[second.after - 1].stop)
    return pair if is_year or (first.kind == "digit" and is_spelled) else first


def _fraction(atoms: Sequence[Atom], at: int, found: Number) -> Reading | None:
    """A fraction of a unit ("half a turn", "three quarters of a ton") or of an inch, which need not be said."""
    after = found.after
    if not atoms[after - 1].stop:
        if reading := _part_of_unit(atoms, at, found):
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
    return _finish(atoms, reading)


def _part_of_unit(atoms: Sequence[Atom], at: int, found: Number) -> Reading | None:
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
    return _finish(atoms, Reading(at, words.after - 1, found.value * factor, unit=words.unit, is_fraction=True))


def _article(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "a hundred", "a minute and a half", "an inch", "a full turn", "an eighth of an inch"."""
    if atoms[at].stop:
        return None
    if atoms[at + 1].word in ("hundred", "thousand", "million"):
        return _numeric(atoms, at)
    if atoms[at + 1].word in _WHOLE:
        whole = read_unit(atoms, at + 2)
        is_one = whole and not whole[0].is_plural and whole[0].unit.dimension in ("time", "turns")
        return (
            _finish(atoms, Reading(at, whole[0].after - 1, whole[1], unit=whole[0].unit)) if whole and is_one else None
        )
    if atoms[at + 1].word in ("eighth", "sixteenth"):
        lower = Fraction(1, 8 if atoms[at + 1].word == "eighth" else 16)
        reading = _part_of_unit(atoms, at + 1, Number(lower, at + 2, "fraction"))
        return reading if reading and reading.unit is INCH else None
    unit = read_unit(atoms, at + 1)
    return _one_unit(atoms, at, *unit) if unit else None


def _one_unit(atoms: Sequence[Atom], at: int, words: UnitWords, factor: Fraction) -> Reading | None:
    """As in "inch and an eighth", "a minute and a half"; a lone "a minute" only where it is waited for or measured."""
    if words.is_plural and words.unit not in (BAR, PSI):
        return None
    after = words.after
    part = trailing_fraction(atoms, after) if not atoms[after - 1].stop else None
    if part and part.value < 1:
        reading = Reading(at, part.after - 1, (1 + part.value) * factor, unit=words.unit)
        return _finish(atoms, reading)
    word, previous, following = atoms[after - 1].word, atoms[at - 1].word if at else "", atoms[after].word
    if previous in ("times", "twice", "once", "call", "half", "quarter", "miles") or following in ("off", "like"):
        is_measured = word in ("foot", "yard") and following == "off"
    elif word == "minute":
        is_measured = previous in _WAITING
    elif word in ("foot", "yard"):
        is_measured = following in _STRETCH or previous in ("about", "least")
    else:
        is_measured = word in _ARTICLE_UNITS
    return _finish(atoms, Reading(at, after - 1, factor, unit=words.unit)) if is_measured else None


def _inch(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "inch and an eighth", "inch drive" without an article."""
    if atoms[at].stop:
        return None
    part = trailing_fraction(atoms, at + 1)
    if part and part.value < 1:
        after = part.after + (atoms[part.after].word == "inch" and not atoms[part.after - 1].stop)
        return _finish(atoms, Reading(at, after - 1, 1 + part.value, unit=INCH))
    return Reading(at, at, Fraction(1), unit=INCH, is_drive=True) if atoms[at + 1].word == "drive" else None


def _minus(atoms: Sequence[Atom], at: int) -> Reading | None:
    reading = read_at(atoms, at + 1) if not atoms[at].stop and cardinal(atoms, at + 1) else None
    if reading is None or reading.family or reading.is_label or reading.is_count:
        return None
    reading.start, reading.amount = at, -reading.amount
    return reading


def _oh(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "oh-five", a model year."""
    following = atoms[at + 1].word
    if atoms[at].stop or not is_digit_word(following) or following == "oh" or read_unit(atoms, at + 2):
        return None
    return Reading(at, at + 1, Fraction(2000 + digit(following)), name=str(2000 + digit(following)), is_label=True)


def _collective(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "both", "a pair of", "a couple of", "a dozen"; "a pair of pliers" is one tool."""
    word, is_cut = atoms[at].word, bool(atoms[at].stop)
    previous = atoms[at - 1].word if at else ""
    if word == "both":
        return Reading(at, at, Fraction(2), is_count=True)
    if previous not in ("a", "the", "every", "each", "last", "that", "this", "another"):
        return None
    if word == "dozen":
        return Reading(at, at, Fraction(12), is_count=True)
    has_of = not is_cut and atoms[at + 1].word == "of"
    after = at + 2 if has_of else at + 1
    if word == "pair":
        is_goods = has_of and any(atom.word in _PAIRED_GOODS for atom in atoms[after : after + 3])
        return None if is_goods else Reading(at, at, Fraction(2), is_count=True)
    unit = read_unit(atoms, after) if not is_cut else None
    if unit:
        return Reading(at, unit[0].after - 1, 2 * unit[1], unit=unit[0].unit, bound="about")
    return Reading(at, at, Fraction(2), is_count=True, bound="about")


def _all(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "all six" counts; "all ten mil" does not."""
    if atoms[at].stop:
        return None
    start = at + 2 if atoms[at + 1].word == "the" else at + 1
    found = cardinal(atoms, start)
    if found is None or found.is_plural or found.kind not in ("digit", "teen", "tens", "numeral"):
        return None
    reading = read_at(atoms, start)
    if reading is None or reading.end != found.after - 1 or not (reading.is_bare or reading.is_count):
        return None
    reading.is_count = True
    return reading


Reader = Callable[[Sequence[Atom], int], Reading | None]
_READERS: dict[str, Reader] = {
    **dict.fromkeys(WORDS, _numeric), **dict.fromkeys(("half", "quarter"), _numeric),
    **dict.fromkeys(BIT_STARTERS, read_bit),
    "one": _one, "a": _article, "an": _article, "inch": _inch, "minus": _minus, "oh": _oh, "all": _all,
    "both": _collective,
    "pair": _collective, "couple": _collective, "dozen": _collective,
}  # fmt: skip
