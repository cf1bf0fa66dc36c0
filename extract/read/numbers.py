"""Spoken numbers: "two hundred and one", "thirty-six hundred", "five and a half", "nine sixteenths"."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from vouchbook.extract.read.atoms import Atom

_ONES = {
    "zero": 0, "nought": 0, "naught": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9,
}  # fmt: skip
_TEENS = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17,
    "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90,
}  # fmt: skip
_SCALES = {"hundred": 100, "thousand": 1000, "million": 1_000_000}


def _plural(word: str) -> str:
    return word[:-1] + "ies" if word.endswith("y") else word + ("es" if word.endswith("x") else "s")


_ONE_PLURALS = {_plural(word): value for word, value in _ONES.items() if value > 1}
_TEEN_PLURALS = {_plural(word): value for word, value in _TEENS.items()}
_TENS_PLURALS = {_plural(word): value for word, value in _TENS.items()}
WORDS = frozenset({*_ONES, *_TEENS, *_TENS, *_SCALES, *_ONE_PLURALS, *_TEEN_PLURALS, *_TENS_PLURALS})
"""Every word that can begin a number, but for articles and fractions."""

DENOMINATORS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4, "eighth": 8, "eighths": 8,
    "8ths": 8,
    "sixteenth": 16, "sixteenths": 16, "16ths": 16, "8th": 8, "16th": 16,
}  # fmt: skip
_RARE_DENOMINATORS = {
    "thirds": 3, "fifths": 5, "sixths": 6, "sevenths": 7, "ninths": 9, "tenths": 10, "twelfths": 12, "third": 3,
    "fifth": 5,
    "sixth": 6, "seventh": 7, "ninth": 9, "tenth": 10,
}  # fmt: skip
_ARTICLES = ("a", "an")
_HALF = Fraction(1, 2)


class Number(NamedTuple):
    """A number and the index of the atom behind it.

    ``kind``: "digit" (0 to 9), "teen" (10 to 19), "tens" (20 to 99), "large", "numeral" (in figures), "decimal",
    "fraction" (a numerator over a denominator), "mixed" (a whole number and a fraction).
    """

    value: Fraction
    after: int
    kind: str
    is_plural: bool = False


def cardinal(atoms: Sequence[Atom], at: int) -> Number | None:
    """The whole number or decimal that begins at ``at``: "twelve hundred", "a hundred and ten", "3.7", or None."""
    first = _scaled(atoms, at)
    if first is None or first.is_plural:
        return first
    if atoms[first.after].word == "point" and not atoms[first.after - 1].stop:
        return _decimal(atoms, first) or first
    return first


def number(atoms: Sequence[Atom], at: int) -> Number | None:
    """The number that begins at ``at`` with its fraction ("nine sixteenths", "five and a half", "1 1/8"), or None."""
    whole = cardinal(atoms, at)
    if whole is None:
        return simple_fraction(atoms, at)
    if whole.is_plural or atoms[whole.after - 1].stop or whole.kind == "decimal":
        return whole
    if over := _over(atoms, at, whole):
        return over
    if whole.kind == "numeral" and whole.value.denominator == 1 and "/" in atoms[whole.after].word:
        part = simple_fraction(atoms, whole.after)
        return Number(whole.value + part.value, part.after, "mixed") if part and part.value < 1 else whole
    if atoms[whole.after].word == "and" and (part := trailing_fraction(atoms, whole.after)):
        return Number(whole.value + part.value, part.after, "mixed")
    return whole


def simple_fraction(atoms: Sequence[Atom], at: int) -> Number | None:
    """A fraction that begins at ``at``: "half", "three eighths", "5/8"; None for whole numbers and ordinals."""
    word = atoms[at].word
    if "/" in word:
        upper, _, lower = word.partition("/")
        if upper.isdecimal() and lower.isdecimal() and int(lower):
            return Number(Fraction(int(upper), int(lower)), at + 1, "fraction")
        return None
    if word in ("half", "quarter"):
        return Number(Fraction(1, DENOMINATORS[word]), at + 1, "fraction")
    whole = _below_hundred(atoms, at)
    return _over(atoms, at, whole) if whole and not atoms[whole.after - 1].stop else None


def trailing_fraction(atoms: Sequence[Atom], at: int) -> Number | None:
    """The fraction of "and a half", "and an eighth", "and three quarters"; ``at`` is the "and"."""
    if atoms[at].word != "and" or atoms[at].stop:
        return None
    if atoms[at + 1].word in _ARTICLES:
        lower = DENOMINATORS.get(atoms[at + 2].word) or (3 if atoms[at + 2].word == "third" else 0)
        return Number(Fraction(1, lower), at + 3, "fraction") if lower else None
    return simple_fraction(atoms, at + 1)


def is_digit_word(word: str) -> bool:
    """Whether ``word`` is one spoken digit."""
    return word in _ONES or word == "oh" or (len(word) == 1 and word.isdecimal())


def digit(word: str) -> int:
    """The value of one spoken digit; "oh" is 0."""
    return 0 if word == "oh" else _ONES[word] if word in _ONES else int(word)


def _over(atoms: Sequence[Atom], at: int, upper: Number) -> Number | None:
    """``upper`` over the denominator behind it, unless the two are an ordinal or a count of fractions."""
    word, after = atoms[upper.after].word, upper.after + 1
    value = upper.value
    if upper.kind not in ("digit", "teen", "tens", "numeral") or value.denominator != 1 or not value:
        return None
    lower = DENOMINATORS.get(word, 0)
    if word in ("thirty", "sixty") and atoms[upper.after].is_glued:
        lower = {"thirty seconds": 32, "thirty second": 32, "sixty fourths": 64, "sixty fourth": 64}.get(
            f"{word} {atoms[after].word}", 0
        )
        after += 1
    if not lower:
        return _rare(atoms, upper)
    # "two quarter-inch bolts", "twenty-eighth": a count or an ordinal. Inch fractions are spoken in lowest terms.
    if value.numerator % 2 == 0 or value > lower:
        return None
    if word in ("half", "quarter") and atoms[upper.after].is_glued and not atoms[at].is_glued and value > 1:
        return None if atoms[after + 1].word.endswith("s") else Number(value / lower, after, "fraction")
    return Number(value / lower, after, "fraction")


def _rare(atoms: Sequence[Atom], upper: Number) -> Number | None:
    """Thirds, fifths and the like: only with an inch behind them, else they are ordinals or shares."""
    lower = _RARE_DENOMINATORS.get(atoms[upper.after].word, 0)
    following = [atom.word for atom in atoms[upper.after + 1 : upper.after + 4]]
    if lower and ("inch" in following[:1] or following[:3] == ["of", "an", "inch"]):
        return Number(upper.value / lower, upper.after + 1, "fraction")
    return None


def _below_hundred(atoms: Sequence[Atom], at: int) -> Number | None:
    word = atoms[at].word
    if word in _TENS:
        tens, following = _TENS[word], atoms[at + 1].word
        if not atoms[at].stop and atoms[at + 2].word != "phase":  # "four-eighty three-phase"
            if _ONES.get(following):
                return Number(Fraction(tens + _ONES[following]), at + 2, "tens")
            if following in _ONE_PLURALS:
                return Number(Fraction(tens + _ONE_PLURALS[following]), at + 2, "tens", is_plural=True)
        return Number(Fraction(tens), at + 1, "tens")
    if word in _ONES:
        return Number(Fraction(_ONES[word]), at + 1, "digit")
    if word in _TEENS:
        return Number(Fraction(_TEENS[word]), at + 1, "teen")
    for table, kind in ((_ONE_PLURALS, "digit"), (_TEEN_PLURALS, "teen"), (_TENS_PLURALS, "tens")):
        if word in table:
            return Number(Fraction(table[word]), at + 1, kind, is_plural=True)
    return _numeral(word, at)


def _numeral(word: str, at: int) -> Number | None:
    if not (word[:1].isdigit() or word[:1] == "."):
        return None
    is_plural = word.endswith("s") and not word.endswith("ths")
    figures = word[:-1] if is_plural else word
    if not figures.isascii() or not figures.replace(".", "", 1).isdecimal():
        return None
    kind = "decimal" if "." in figures else "numeral"
    return Number(Fraction(figures), at + 1, kind, is_plural)


def _scaled(atoms: Sequence[Atom], at: int) -> Number | None:
    """A cardinal with hundreds, thousands and millions; "fifteen hundred" and "hundred and ten" as well."""
    total, after, kind = Fraction(0), at, ""
    limit = Fraction(10**9)
    while True:
        part = _hundreds(atoms, after)
        if part is None or (kind and part.after == after):
            break
        is_cut = part.after > after and atoms[part.after - 1].stop
        scale = 0 if is_cut else _SCALES.get(atoms[part.after].word, 0)
        if part.is_plural or scale < 1000 or scale >= limit:
            if part.value >= limit:
                break
            return Number(total + part.value, part.after, "large" if kind else part.kind, part.is_plural)
        total, after, limit, kind = total + part.value * scale, part.after + 1, Fraction(scale), "large"
        following = _continues(atoms, after)
        if following is None:
            break
        after = following
    if not kind:
        return None
    return Number(total, after, kind)


def _continues(atoms: Sequence[Atom], after: int) -> int | None:
    """Where a number goes on after "thousand": at once, behind "and", or behind a comma ("one thousand, five")."""
    stop = atoms[after - 1].stop
    if stop not in ("", ","):
        return None
    if atoms[after].word == "and" and not stop and not atoms[after].stop:
        return after + 1 if _below_hundred(atoms, after + 1) else None
    rest = _hundreds(atoms, after)
    if (
        rest is None
        or rest.after == after
        or atoms[after].word in _SCALES
        or rest.value < 1
        or (stop and rest.value < 100)
    ):
        return None
    return after


def _hundreds(atoms: Sequence[Atom], at: int) -> Number | None:
    word = atoms[at].word
    if word in _ARTICLES and atoms[at + 1].word in _SCALES:
        count = Number(Fraction(1), at + 1, "large")
    elif word in ("hundred", "thousand"):
        count = Number(Fraction(1), at, "large")
    else:
        found = _below_hundred(atoms, at)
        if found is None or found.is_plural or found.kind == "decimal" or atoms[found.after - 1].stop:
            return found
        count = found
    if atoms[count.after].word != "hundred":
        return count
    value, after = count.value * 100, count.after + 1
    if atoms[after - 1].stop:
        return Number(value, after, "large")
    start = after + 1 if atoms[after].word == "and" and not atoms[after].stop else after
    rest = _below_hundred(atoms, start)
    if rest and 1 <= rest.value < 100 and rest.kind != "decimal" and not _is_own_number(atoms, start, rest, after):
        return Number(value + rest.value, rest.after, "large", rest.is_plural)
    return Number(value, after, "large")


def _is_own_number(atoms: Sequence[Atom], start: int, rest: Number, after: int) -> bool:
    """Whether what follows "hundred" is the numerator of a fraction or figures of their own."""
    return _over(atoms, start, rest) is not None or (rest.kind == "numeral" and start == after)


def _decimal(atoms: Sequence[Atom], whole: Number) -> Number | None:
    after, figures = whole.after + 1, ""
    while is_digit_word(atoms[after].word) and (not figures or not atoms[after - 1].stop):
        figures += str(digit(atoms[after].word))
        after += 1
    if not figures:
        part = _below_hundred(atoms, after)  # "point twenty-five" is said too
        if part is None or part.is_plural or part.value.denominator != 1:
            return None
        figures, after = str(part.value), part.after
    return Number(whole.value + Fraction(f"0.{figures}"), after, "decimal")
