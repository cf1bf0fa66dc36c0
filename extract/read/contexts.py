"""Words beside a number that decide what it is: nouns that are counted, drives, labels, clocks, bounds."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from vouchbook.extract.read.atoms import Atom
from vouchbook.extract.read.numbers import WORDS
from vouchbook.extract.read.readings import Bound

DETERMINERS = frozenset(
    {"the", "a", "an", "each", "every", "this", "that", "your", "my", "its", "any", "another", "other"}
)
_DRIVEN = frozenset(
    {"drive", "ratchet", "ratchets", "gun", "guns", "bar", "extension", "extensions", "impact", "driver"}
)
_DRIVE_ADJECTIVES = frozenset({
    "air", "impact", "electric", "cordless", "battery", "square", "long", "short", "big", "little", "torque", "flex",
    "wobble", "power", "breaker", "knuckle", "pneumatic", "rattle", "stubby",
})  # fmt: skip
_TOOLS = frozenset({
    "socket", "spanner", "wrench", "ring", "hex", "allen", "key", "ratchet", "open-ender", "combination", "deep",
    "bit",
})  # fmt: skip
_LABELLED = frozenset({
    "bank", "bay", "cell", "string", "unit", "line", "level", "floor", "page", "step", "zone", "position", "stage",
    "gear", "mark", "type", "model", "route", "station", "row", "channel", "circuit", "breaker", "module", "option",
    "part", "chapter", "section", "room", "door", "pump", "axle", "cylinder", "phase", "pole", "car", "lift", "dock",
    "engine", "version", "generation", "series", "junction",
})  # fmt: skip
_ADJECTIVES = frozenset({
    "black", "red", "yellow", "orange", "green", "blue", "grey", "gray", "white", "silver", "small", "little", "big",
    "long", "short", "more", "other", "outer", "inner", "top", "bottom", "front", "rear", "back", "upper", "lower",
    "plastic", "steel", "metal", "brass", "rubber", "hex", "torx", "allen", "flange", "cap", "main", "side", "push",
    "securing", "retaining", "mounting", "star", "cross", "head", "phillips", "tiny", "large", "round", "square",
    "separate", "different", "plain",
})  # fmt: skip
_NOT_NOUNS = frozenset({
    "always", "across", "yours", "theirs", "ours", "perhaps", "sometimes", "towards", "upwards", "downwards",
    "backwards", "forwards", "inwards", "outwards", "plus", "minus", "times", "goes", "does", "says", "comes", "looks",
    "takes", "gets", "needs", "wants", "makes", "means", "works", "holds", "sits", "stands", "fits", "slips", "gives",
    "runs", "stays", "rounds", "feels", "sounds", "hits", "opens", "loosens", "undoes", "phillips", "hours", "besides",
    "else's", "as", "is", "was", "has", "his", "hers", "yes", "gas", "bus", "keeps", "leaves", "seems", "happens",
    "starts", "ends", "ones", "afterwards",
})  # fmt: skip
_IRREGULAR = frozenset({"men", "women", "people", "teeth", "children", "feet"})
_NOT_AFTER_ONE = frozenset({
    "", "of", "in", "on", "at", "and", "but", "for", "from", "with", "without", "here", "there", "behind", "under",
    "over", "up", "down", "is", "was", "has", "that", "that's", "which", "who", "it", "it's", "you", "we", "he", "she",
    "they", "i", "as", "by", "'s", "'ll", "'d", "'re", "are", "were", "will", "would", "can", "could", "should",
    "does", "did", "do", "goes", "comes", "looks", "says", "each", "either", "this", "the", "a", "an", "moment",
    "thing", "day", "more", "go", "way", "another", "time", "sec", "second", "minute", "if", "so", "then", "not",
    "isn't", "wasn't", "to", "off", "out", "inside", "outside", "where", "when", "because", "'cause", "after",
    "before", "like", "we're", "you're", "i'm", "just", "too", "now", "gets", "takes", "needs", "above", "below",
    "beside", "next", "last", "bit", "question", "hour",
})  # fmt: skip
_NOT_BEFORE_ONE = DETERMINERS | {
    "which", "no", "some", "first", "next", "same", "either", "neither", "these", "those", "good", "right", "wrong",
    "old", "new", "big", "little", "only", "number", "easy",
}  # fmt: skip
_ORDINALS = frozenset({"first", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"})
_MOST_COUNTED = 8
_STRETCH = frozenset({"off", "away", "back", "clear", "out"})
_CLOCK = frozenset({"o'clock", "oclock"})
_DAY_PARTS = frozenset({"morning", "afternoon", "evening", "night"})

_BOUNDS_BEFORE: tuple[tuple[str, Bound, bool, bool], ...] = (
    # words, bound, strict (60 itself is outside), needs a unit (else "under two seats" would be a bound)
    ("about", "about", False, False), ("roughly", "about", False, False), ("approximately", "about", False, False),
    ("approx", "about", False, False), ("around", "about", False, True), ("round about", "about", False, True),
    ("nearly", "about", False, False), ("almost", "about", False, False), ("getting on for", "about", False, False),
    ("at least", "at least", False, False), ("no less than", "at least", False, False),
    ("not less than", "at least", False, False), ("no fewer than", "at least", False, False),
    ("a minimum of", "at least", False, False), ("minimum of", "at least", False, False),
    ("minimum", "at least", False, False),
    ("more than", "at least", True, False), ("over", "at least", True, True), ("above", "at least", True, True),
    ("upwards of", "at least", False, False), ("greater than", "at least", True, False),
    ("at most", "at most", False, False), ("no more than", "at most", False, False),
    ("not more than", "at most", False, False), ("up to", "at most", False, False),
    ("a maximum of", "at most", False, False),
    ("maximum of", "at most", False, False), ("maximum", "at most", False, False), ("max", "at most", False, False),
    ("less than", "at most", True, False), ("fewer than", "at most", True, False), ("under", "at most", True, True),
    ("below", "at most", True, True), ("within", "at most", False, True),
    ("not over", "at most", False, True), ("not above", "at most", False, True), ("not under", "at least", False, True),
    ("not below", "at least", False, True), ("no higher than", "at most", False, False),
    ("no lower than", "at least", False, False), ("as much as", "at most", False, True),
)  # fmt: skip
_BOUNDS_AFTER: tuple[tuple[str, Bound], ...] = (
    ("or so", "about"), ("or thereabouts", "about"), ("ish", "about"), ("give or take", "about"),
    ("or more", "at least"),
    ("minimum", "at least"), ("at least", "at least"), ("at the least", "at least"), ("or less", "at most"),
    ("maximum", "at most"), ("max", "at most"), ("tops", "at most"), ("at most", "at most"), ("at the most", "at most"),
)  # fmt: skip


class BoundWords(NamedTuple):
    """A bound and how many atoms say it."""

    bound: Bound
    length: int
    is_strict: bool
    needs_unit: bool


def _before() -> dict[str, list[tuple[tuple[str, ...], BoundWords]]]:
    table: dict[str, list[tuple[tuple[str, ...], BoundWords]]] = {}
    for text, bound, is_strict, needs_unit in _BOUNDS_BEFORE:
        words = tuple(text.split())
        table.setdefault(words[-1], []).append((words, BoundWords(bound, len(words), is_strict, needs_unit)))
    for entries in table.values():
        entries.sort(key=lambda entry: -len(entry[0]))
    return table


_BEFORE = _before()


def bound_before(atoms: Sequence[Atom], start: int, floor: int) -> BoundWords | None:
    """The bound whose words end right before ``start`` and begin at ``floor`` or later."""
    for words, found in _BEFORE.get(atoms[start - 1].word, ()) if start > floor else ():
        first = start - len(words)
        if first >= floor and all(
            atoms[first + place].word == word and not atoms[first + place].stop for place, word in enumerate(words)
        ):
            return found
    return None


def bound_after(atoms: Sequence[Atom], after: int) -> tuple[Bound, int] | None:
    """The bound that is said behind a value, and its length in atoms: "ten minutes at least", "ten-ish"."""
    if atoms[after - 1].stop not in ("", ","):
        return None
    skipped = atoms[after].word in _STRETCH and atoms[after].stop in ("", ",")  # "fifteen feet off, minimum"
    start = after + 1 if skipped else after
    for text, bound in _BOUNDS_AFTER:
        words = text.split()
        if atoms[start].word == words[0] and [atom.word for atom in atoms[start : start + len(words)]] == words:
            last = atoms[start + len(words) - 1]
            following = atoms[start + len(words)].word
            # "ten bolts, at least four of them": the words belong to what comes.
            is_ahead = not last.stop and (_is_number(following) or following in ("a", "half", "of"))
            return None if is_ahead else (bound, len(words) + skipped)
    return None


def is_drive(atoms: Sequence[Atom], after: int) -> bool:
    """Whether the size that ends before ``after`` is the square drive of the tool that is named next."""
    for place in range(after, after + 3):
        if atoms[place - 1].stop:
            return False
        if atoms[place].word in _DRIVEN:
            return True
        if atoms[place].word not in _DRIVE_ADJECTIVES:
            return False
    return False


def names_tool(atoms: Sequence[Atom], after: int, amount: Fraction) -> bool:
    """Whether a tool is named right behind: "two and a half, Allen"; not "the front two, ratchet on the back"."""
    stop = atoms[after - 1].stop
    if atoms[after].word not in _TOOLS or (not atoms[after].stop and is_plural_noun(atoms[after + 1].word)):
        return False
    return not stop or (stop == "," and (amount.denominator > 1 or amount > _MOST_COUNTED))


def is_plural_noun(word: str) -> bool:
    """Whether ``word`` looks like a plural noun."""
    if word in _IRREGULAR:
        return True
    return len(word) > 3 and word[-1] == "s" and word[-2:] not in ("ss", "us", "is", "'s") and word not in _NOT_NOUNS


def counts_noun(atoms: Sequence[Atom], after: int) -> bool:
    """Whether things are counted by the number that ends before ``after``: "four screws", "three black clips"."""
    for place in range(after, after + 3):
        if atoms[place - 1].stop:
            return False
        if is_plural_noun(atoms[place].word):
            return True
        if atoms[place].word not in _ADJECTIVES:
            return False
    return False


def is_pronoun_one(atoms: Sequence[Atom], at: int) -> bool:
    """Whether "one" at ``at`` stands for a thing ("that one", "one of") and counts nothing."""
    previous, before = (atoms[at - 1] if at else None), (atoms[at - 2] if at > 1 else None)
    if previous and not previous.stop:
        if previous.word in _NOT_BEFORE_ONE:
            return True
        if before and not before.stop and before.word in DETERMINERS and previous.word not in _LABELLED:
            return True
    return bool(atoms[at].stop) or atoms[at + 1].word in _NOT_AFTER_ONE


def is_label(atoms: Sequence[Atom], at: int) -> bool:
    """Whether the number at ``at`` is a name: "bank two", "bay four"; not "the pump, four bolts"."""
    if at == 0 or atoms[at - 1].stop or atoms[at - 1].word not in _LABELLED:
        return False
    return at == 1 or bool(atoms[at - 2].stop) or atoms[at - 2].word not in DETERMINERS


def clock_end(atoms: Sequence[Atom], after: int) -> int:
    """The index behind "o'clock" when that follows, else 0."""
    if atoms[after].word in _CLOCK:
        return after + 1
    return after + 2 if atoms[after].word == "o" and atoms[after + 1].word in ("clock", "clocks") else 0


def is_no_value(atoms: Sequence[Atom], at: int, after: int) -> bool:
    """Whether the number at ``at`` is an hour ("two in the morning", "half past two") or odds ("out of ten")."""
    if at > 1 and atoms[at - 1].word in ("past", "to") and atoms[at - 2].word in ("half", "quarter"):
        return True
    if at > 1 and atoms[at - 1].word == "of" and atoms[at - 2].word == "out":  # "nine times out of ten"
        return True
    words = [atom.word for atom in atoms[after : after + 3]]
    if words == ["times", "out", "of"] or words[0] in ("am", "pm", "a.m", "p.m"):
        return True
    return words[:2] == ["in", "the"] and words[2] in _DAY_PARTS


def is_by(atoms: Sequence[Atom], at: int, after: int) -> bool:
    """Whether the number at ``at`` is a side of "four by four", without a unit."""
    if atoms[after].word == "by" and not atoms[after - 1].stop and not atoms[after].stop:
        return _is_number(atoms[after + 1].word)
    return at > 1 and atoms[at - 1].word == "by" and _is_number(atoms[at - 2].word) and not counts_noun(atoms, after)


def _is_number(word: str) -> bool:
    return word in WORDS or word[:1].isdigit()


def is_ordinal(atoms: Sequence[Atom], at: int, after: int) -> bool:
    """Whether the number from ``at`` goes on as an ordinal: "twenty-first", "thirty eighth"."""
    word, last = atoms[after].word, atoms[after - 1]
    if last.stop or word not in _ORDINALS or last.word[-2:] not in ("ty", "ed"):
        return False
    return word != "first" or last.is_glued or (at > 0 and atoms[at - 1].word == "the")


def is_inch_sign(atoms: Sequence[Atom], at: int) -> bool:
    """Whether "in" behind a written fraction is its unit: "3/8 in socket", not "1/2 in the bay"."""
    following = atoms[at + 1].word
    return (
        atoms[at].word == "in"
        and following not in DETERMINERS
        and following not in ("front", "there", "here", "case", "place")
    )


def is_adjective(word: str) -> bool:
    """Whether ``word`` may stand between a count and what is counted."""
    return word in _ADJECTIVES
