"""One value at one place, each by the reader of its first word."""

from collections.abc import Callable, Sequence
from fractions import Fraction

from vouchbook.extract.read import contexts
from vouchbook.extract.read.amounts import STRETCH, TURNING, WHOLE, finish, numeric, part_of_unit
from vouchbook.extract.read.atoms import Atom
from vouchbook.extract.read.bits import BIT_STARTERS, read_bit
from vouchbook.extract.read.numbers import WORDS, Number, cardinal, digit, is_digit_word, trailing_fraction
from vouchbook.extract.read.readings import Reading
from vouchbook.extract.read.units import BAR, INCH, PSI, UnitWords, read_unit

_PAIRED_GOODS = frozenset({
    "pliers", "gloves", "cutters", "scissors", "snips", "shears", "goggles", "glasses", "tongs", "steps", "overalls",
    "grips",
})  # fmt: skip
_ARTICLE_UNITS = frozenset({
    "inch", "metre", "meter", "hour", "day", "week", "fortnight", "month", "year", "ton", "tonne", "mil",
})  # fmt: skip
_WAITING = frozenset({
    "about", "least", "most", "for", "full", "within", "than", "every", "takes", "to", "over", "under", "whole",
})  # fmt: skip


def read_at(atoms: Sequence[Atom], at: int) -> Reading | None:
    """The value that begins at ``at``, without the words that bound or correct it; None when none begins there."""
    word = atoms[at].word
    reader = _READERS.get(word)
    if reader is None:
        return numeric(atoms, at) if word[:1].isdigit() or word[:1] == "." else None
    return reader(atoms, at)


def _one(atoms: Sequence[Atom], at: int) -> Reading | None:
    following = atoms[at + 1].word
    is_choice = following in ("or", "to") and (atoms[at + 2].word in WORDS or atoms[at + 2].word[:1].isdigit())
    is_mixed = following == "and" and trailing_fraction(atoms, at + 1) is not None
    if not atoms[at].stop and (following in ("hundred", "thousand", "million", "point", "oh") or is_choice or is_mixed):
        return numeric(atoms, at)
    is_turned = at > 1 and atoms[at - 2].word in TURNING and following in ("eighty", "twenty")
    if is_turned or contexts.is_label(atoms, at) or contexts.clock_end(atoms, at + 1):
        return numeric(atoms, at)
    if contexts.is_pronoun_one(atoms, at):
        words = [atom.word for atom in atoms[max(at - 2, 0) : at]]
        if atoms[at].stop and (words[-1:] in (["just"], ["only"]) or words in (["just", "the"], ["only", "the"])):
            return Reading(at, at, Fraction(1), is_count=True)
        is_minute = (
            following == "minute" and not atoms[at].stop and not (at and atoms[at - 1].word in contexts.DETERMINERS)
        )
        return numeric(atoms, at) if is_minute else None
    return numeric(atoms, at)


def _article(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "a hundred", "a minute and a half", "an inch", "a full turn", "an eighth of an inch"."""
    if atoms[at].stop:
        return None
    if atoms[at + 1].word in ("hundred", "thousand", "million"):
        return numeric(atoms, at)
    if atoms[at + 1].word in WHOLE:
        whole = read_unit(atoms, at + 2)
        is_one = whole and not whole[0].is_plural and whole[0].unit.dimension in ("time", "turns")
        return (
            finish(atoms, Reading(at, whole[0].after - 1, whole[1], unit=whole[0].unit)) if whole and is_one else None
        )
    if atoms[at + 1].word in ("eighth", "sixteenth"):
        lower = Fraction(1, 8 if atoms[at + 1].word == "eighth" else 16)
        reading = part_of_unit(atoms, at + 1, Number(lower, at + 2, "fraction"))
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
        return finish(atoms, reading)
    word, previous, following = atoms[after - 1].word, atoms[at - 1].word if at else "", atoms[after].word
    if previous in ("times", "twice", "once", "call", "half", "quarter", "miles") or following in ("off", "like"):
        is_measured = word in ("foot", "yard") and following == "off"
    elif word == "minute":
        is_measured = previous in _WAITING
    elif word in ("foot", "yard"):
        is_measured = following in STRETCH or previous in ("about", "least")
    else:
        is_measured = word in _ARTICLE_UNITS
    return finish(atoms, Reading(at, after - 1, factor, unit=words.unit)) if is_measured else None


def _inch(atoms: Sequence[Atom], at: int) -> Reading | None:
    """As in "inch and an eighth", "inch drive" without an article."""
    if atoms[at].stop:
        return None
    part = trailing_fraction(atoms, at + 1)
    if part and part.value < 1:
        after = part.after + (atoms[part.after].word == "inch" and not atoms[part.after - 1].stop)
        return finish(atoms, Reading(at, after - 1, 1 + part.value, unit=INCH))
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
    **dict.fromkeys(WORDS, numeric), **dict.fromkeys(("half", "quarter"), numeric),
    **dict.fromkeys(BIT_STARTERS, read_bit),
    "one": _one, "a": _article, "an": _article, "inch": _inch, "minus": _minus, "oh": _oh, "all": _all,
    "both": _collective,
    "pair": _collective, "couple": _collective, "dozen": _collective,
}  # fmt: skip
