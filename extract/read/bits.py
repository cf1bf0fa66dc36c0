"""Sizes that are names: "T thirty", "E ten", "M eight", "number two Phillips", "pozi two", "class nought"."""

from collections.abc import Sequence
from fractions import Fraction

from vouchbook.extract.read.atoms import Atom
from vouchbook.extract.read.numbers import Number, cardinal
from vouchbook.extract.read.readings import Family, Reading
from vouchbook.extract.read.units import read_unit

_LETTERS: dict[str, tuple[Family, int, int]] = {
    # Spoken as: family, smallest and largest number. Sound-alikes begin where no other meaning is near.
    "t": ("T", 1, 100), "tee": ("T", 6, 100), "tea": ("T", 6, 100), "torx": ("T", 6, 100), "torques": ("T", 6, 100),
    "talks": ("T", 15, 60), "torks": ("T", 6, 60), "star": ("T", 6, 100), "e": ("E", 4, 44), "m": ("M", 1, 64),
    "em": ("M", 3, 64), "ph": ("PH", 0, 9),
    "pz": ("PZ", 0, 9), "phillips": ("PH", 0, 9), "philips": ("PH", 0, 9), "pozi": ("PZ", 0, 9), "posi": ("PZ", 0, 9),
    "pozidriv": ("PZ", 0, 9), "pozidrive": ("PZ", 0, 9), "pozzi": ("PZ", 0, 9),
}  # fmt: skip
_RECESS: dict[str, Family] = {
    "phillips": "PH", "philips": "PH", "ph": "PH", "pozi": "PZ", "posi": "PZ", "pozidriv": "PZ", "pozidrive": "PZ",
    "pozzi": "PZ", "pz": "PZ", "crosshead": "PH", "crossheads": "PH", "crosspoint": "PH",
}  # fmt: skip
# A "number two cross-head" does not say which of the two recesses; by the plain word the trade means PH.
_RECESS_PAIRS = frozenset(
    {
        ("cross", "head"),
        ("cross", "heads"),
        ("cross", "recess"),
        ("cross", "point"),
        ("cross", "points"),
        ("cross", "tip"),
        ("cross", "tips"),
    }
)
_SOUND_ALIKE = frozenset({"torques", "talks", "torks", "star", "tea", "tee"})
_NOUGHTS = frozenset({"0", "zero", "nought", "naught", "oh", "o"})
_PINNED = frozenset({"security", "tamper", "tamperproof", "pin", "pinned"})
BIT_STARTERS = frozenset({*_LETTERS, "p", "class", "number", "cross", "crosshead"})
"""Words that can begin a named size."""
_T_AFTER = frozenset({15, 20, 25, 27, 30, 40, 45, 50, 55, 60})
_T_COUNTABLE = 20


def read_bit(atoms: Sequence[Atom], at: int) -> Reading | None:
    """The named size that begins at ``at``; None when the words only look like one."""
    word = atoms[at].word
    if atoms[at].stop:
        return None
    if word == "class":
        return _glove_class(atoms, at)
    if word == "number":
        return _numbered(atoms, at, at + 1)
    if word == "p" and atoms[at + 1].word in ("h", "z") and not atoms[at + 1].stop:
        return _sized(atoms, at, at + 2, ("PH" if atoms[at + 1].word == "h" else "PZ", 0, 9))
    after = recess_after(atoms, at)
    if after and word not in ("ph", "pz"):
        start = after + 1 if atoms[after].word == "number" else after
        return _sized(atoms, at, start, (recess(atoms, at), 0, 9)) if not atoms[after - 1].stop else None
    return _sized(atoms, at, at + 1, _LETTERS[word]) if word in _LETTERS else None


def recess_after(atoms: Sequence[Atom], at: int) -> int:
    """The index behind the words at ``at`` that name a cross recess, or 0."""
    if atoms[at].word in _RECESS:
        return at + 1
    return at + 2 if (atoms[at].word, atoms[at + 1].word) in _RECESS_PAIRS and not atoms[at].stop else 0


def recess(atoms: Sequence[Atom], at: int) -> Family:
    """Which cross recess the words at ``at`` name."""
    return _RECESS.get(atoms[at].word, "PH")


def bit_behind(atoms: Sequence[Atom], at: int, found: Number) -> Reading | None:
    """A number before its kind, "thirty Torx", "a two Phillips"; ``at`` is the number. None for "four Torx screws"."""
    if found.value.denominator != 1 or found.is_plural or atoms[found.after - 1].stop:
        return None
    word, following = atoms[found.after].word, atoms[found.after + 1].word
    is_counting = following.endswith("s") and not atoms[found.after].stop
    if word in ("torx", "star") and found.value in _T_AFTER and not (is_counting and found.value <= _T_COUNTABLE):
        return Reading(at, found.after, found.value, family="T")
    after = recess_after(atoms, found.after)
    is_single = at > 0 and atoms[at - 1].word == "a" and not atoms[at - 1].stop  # "the four Phillips" are counted
    if after and is_single and found.value <= 4 and not is_counting:
        return Reading(at, after - 1, found.value, family=recess(atoms, found.after))
    return None


def _sized(atoms: Sequence[Atom], at: int, number_at: int, kind: tuple[Family, int, int]) -> Reading | None:
    family, smallest, largest = kind
    found = cardinal(atoms, number_at)
    if found is None or found.value.denominator != 1 or not smallest <= found.value <= largest or found.kind == "large":
        return None
    if atoms[at].word in _SOUND_ALIKE and (found.value > 60 or read_unit(atoms, found.after)):
        return None
    if (
        family in ("PH", "PZ")
        and len(atoms[at].word) > 2
        and atoms[found.after].word.endswith("s")
        and not found.is_plural
    ):
        return None  # "the Phillips four screws"
    name = ""
    if family in ("PH", "PZ") and atoms[number_at].word in ("00", "000"):
        name = atoms[number_at].word
    end, suffix = found.after - 1, ""
    if family == "T" and atoms[found.after].word in _PINNED and not atoms[end].stop:
        end, suffix = found.after, ", with pin"
    return Reading(at, end, found.value, family=family, name=name, suffix=suffix, is_plural=found.is_plural)


def _numbered(atoms: Sequence[Atom], at: int, number_at: int) -> Reading | None:
    """As in "number two Phillips" is a size, "number four" a label."""
    found = cardinal(atoms, number_at)
    if found is None or found.is_plural or found.value.denominator != 1:
        return None
    end = found.after - 1
    after = recess_after(atoms, found.after)
    if after and atoms[end].stop in ("", ","):
        return Reading(at, after - 1, found.value, family=recess(atoms, found.after))
    spelled = atoms[found.after].word == "p" and atoms[found.after + 1].word in ("h", "z")
    if spelled and not atoms[end].stop:
        return Reading(at, found.after + 1, found.value, family="PH" if atoms[found.after + 1].word == "h" else "PZ")
    return Reading(at, end, found.value, name=str(found.value), is_label=True)


def _glove_class(atoms: Sequence[Atom], at: int) -> Reading | None:
    """Classes of IEC 60903 and ASTM D120: 00, 0, 1 to 4. Others are read as said; they raise a question."""
    first, second = atoms[at + 1], atoms[at + 2]
    if first.word in ("double", "00", "double-oh") or (
        first.word in _NOUGHTS and second.word in _NOUGHTS and not first.stop
    ):
        if first.word == "00":
            return Reading(at, at + 1, Fraction(0), family="class", name="00")
        return Reading(at, at + 2, Fraction(0), family="class", name="00") if second.word in _NOUGHTS else None
    if first.word in _NOUGHTS:
        return Reading(at, at + 1, Fraction(0), family="class")
    found = cardinal(atoms, at + 1)
    if found is None or found.kind not in ("digit", "numeral") or found.value > 9 or found.value.denominator != 1:
        return None
    return None if found.is_plural else Reading(at, found.after - 1, found.value, family="class")
