"""What lines claim in numbers: "give it five minutes", "nineteen", "four of them", each with what it is said about."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from vouchbook.extract.read.talk import Sentence, Talk, once
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value
from vouchbook.models.quantities import Quantity

_SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0}
_METRES = {"m": 1.0, "[ft_i]": 0.3048, "[yd_i]": 0.9144}
_MILLIMETRES = {"mm": 1.0, "[in_i]": 25.4}
_BARE = "number"
_MAY_BE_BARE = frozenset(
    {"size", "size T", "time", "distance", "pressure in bar", "percent in %", "temperature in Cel"}
)
"""Sorts of which a talker leaves the unit away: "Nineteen." "Ten, I'd say."."""
_NO_WAIT = words_pattern(
    # "two weeks ago", "every ten minutes", "it took me an hour", "hold it for four seconds"
    r"ago|old|last|every|away|years?|older|took|takes me|took me|warranty|shift|lunch|week|"
    r"month|hold (?:it|that|the \w+)|press (?:it|that)|late|drive"
)
_TELLING = frozenset({"NOUN", "PROPN", "VERB"})
_FEWEST = 2
"""Smaller numbers are told of everything."""
_ANOTHER_THING = 6
"""A value this many times another speaks of something else: "five minutes", "two hours"."""
_ANOTHER_SIZE = 2.6
"""The same of sizes, counts and bare numbers, which lie closer together."""
_WIDE = frozenset({"time", "distance"})
_SIZES = frozenset({"size", "size T"})
_SHORTEST_M = 1.5
"""A shorter length is no distance that a crew keeps; "a meter" is also an instrument."""
_NAMES = frozenset(
    "item number column bay row shaft platform gate point page fuse line unit station track berth room level "
    "floor".split()
)
"""Behind these a number is a name: "column two"."""
_SAME = 0.04
"""Share by which two values in other units may differ and still say one thing: "thirty feet", "nine metres"."""
_SAYS_LITTLE = frozenset(
    "minute second hour metre meter foot yard inch mil millimetre bar volt thing one lot bit way time size number "
    "have get go give take put say tell do make know think want wait come let keep leave mean call see look be need "
    "use count turn stand pull stop open side hand book mate lad man people anybody nobody everybody".split()
)
"""Lemmas that two claims share without being about the same."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A ``value`` of a ``sort`` ("time", "size", "number" without a unit), said in ``sentence`` by ``voice``.

    ``amount`` is in one unit for its sort; ``about`` are the lemmas of what is spoken of there, ``around`` those of the
    sentence behind and of the question before too.
    """

    sort: str
    amount: float
    value: Value
    sentence: Sentence
    voice: str | None
    about: frozenset[str]
    around: frozenset[str]

    @property
    def is_bare(self) -> bool:
        """Whether a number was said and no unit."""
        return self.sort == _BARE


@once
def claims(talk: Talk) -> tuple[Claim, ...]:
    """The claims of ``talk`` in order; what is asked, open, denied, a range or a name claims nothing."""
    return tuple(_claims(talk))


def differ(one: Claim, other: Claim) -> bool:
    """Whether ``other``, said later, is another amount of the same sort, and near enough to be of one thing."""
    first, second = one.amount, other.amount
    if one.sort != other.sort:
        if not (_may_leave_unit(one, other) or (other.sort in _SIZES and _may_leave_unit(other, one))):
            return False
        first, second = (
            _as_said(one),
            _as_said(other),
        )  # "Five minutes." "No, ten.": the bare one takes the other's unit
    less, more = sorted((first, second))
    limit = _ANOTHER_THING if one.sort in _WIDE else _ANOTHER_SIZE
    return more - less > _SAME * more and more <= limit * less


def _may_leave_unit(told: Claim, bare: Claim) -> bool:
    return bare.is_bare and told.sort in _MAY_BE_BARE


def same_value(one: Claim, other: Claim) -> bool:
    """Whether the two are one value, told twice; a bare number may stand for one with a unit."""
    if one.sort == other.sort:
        return abs(one.amount - other.amount) <= _SAME * max(one.amount, other.amount)
    return (_may_leave_unit(one, other) or _may_leave_unit(other, one)) and _as_said(one) == _as_said(other)


def shared(one: Claim, other: Claim) -> frozenset[str]:
    """What both are said about."""
    return one.about & other.about


def _claims(talk: Talk) -> Iterator[Claim]:
    for sentence in talk.sentences:
        if sentence.asks:
            continue
        for value in talk.values_in(sentence.start, sentence.end):
            measured = _measured(value)
            if measured is None or (measured[0] == "time" and _is_no_wait(talk, sentence)) or _is_name(talk, value):
                continue
            near = _around(talk, sentence)
            about = _about(talk, [s for s in near if s.line == sentence.line and s.number <= sentence.number])
            yield Claim(*measured, value, sentence, talk.voice(sentence.line), about, _about(talk, near))


def _is_no_wait(talk: Talk, sentence: Sentence) -> bool:
    return _NO_WAIT.search(talk.tape(sentence.start, sentence.end).text) is not None


def _is_name(talk: Talk, value: Value) -> bool:
    start = talk.token_of(value.first)
    return bool(start) and value.is_bare and talk.doc[(start or 0) - 1].lower_ in _NAMES


def _measured(value: Value) -> tuple[str, float] | None:
    """The sort of a value and its amount in one unit; None when it claims nothing."""
    quantity = value.quantity
    if not value.is_usable or value.is_asked or value.is_label or value.is_drive or quantity.upper is not None:
        return None
    if quantity.value is None:
        return _named_size(quantity)
    if quantity.value <= 0:
        return None
    unit = quantity.unit or ""
    for sort, factors in (("time", _SECONDS), ("distance", _METRES), ("size", _MILLIMETRES)):
        if unit in factors:
            amount = quantity.value * factors[unit]
            return None if sort == "distance" and amount < _SHORTEST_M else (sort, amount)
    if quantity.dimension in {"count", "number"} and unit in {"", "1"}:
        if quantity.value < _FEWEST:
            return None
        return (_BARE if value.is_bare else "count"), quantity.value
    return (f"{quantity.dimension} in {unit}", quantity.value) if unit else _named_size(quantity)


def _named_size(quantity: Quantity) -> tuple[str, float] | None:
    """ "T30" is size 30 of the sort T; drives and threads of other letters are other sorts."""
    letters = quantity.normal.rstrip("0123456789")
    digits = quantity.normal[len(letters) :]
    return (f"size {letters}", float(digits)) if letters and digits and letters.isalpha() else None


def _as_said(claim: Claim) -> float:
    quantity = claim.value.quantity
    return claim.amount if quantity.value is None else quantity.value


def _about(talk: Talk, sentences: Iterable[Sentence]) -> frozenset[str]:
    """The lemmas of nouns and verbs in ``sentences`` that tell what is spoken of."""
    found = (t.lemma_.lower() for s in sentences for t in talk.doc[s.start : s.end] if t.pos_ in _TELLING)
    return frozenset(lemma for lemma in found if len(lemma) > 2 and lemma not in _SAYS_LITTLE)


def _around(talk: Talk, sentence: Sentence) -> list[Sentence]:
    """``sentence``, those beside it in its line, and the sentence of the line before that it may answer."""
    line = talk.sentences_of(sentence.line)
    place = line.index(sentence)
    before = talk.sentences_of(sentence.line - 1)[-1:] if place == 0 and sentence.line else ()
    return [*before, *line[max(0, place - 1) : place + 2]]
