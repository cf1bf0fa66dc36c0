"""Which amendments change a value: a number, a size, a side or a "not". Those need a second person."""

import re
from collections import Counter

from vouchbook.models.decisions import Fields, FieldValue

_NUMBERS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand half quarter eighth "
    "eighths sixteenth sixteenths thirds once twice both all"
)
_SIDES = (
    "left right front rear back forward forwards backward backwards driver passenger upper lower top bottom above "
    "below over under inside outside up down behind nearside offside clockwise anticlockwise counterclockwise"
)
_POLARITY = (
    "no not never don't dont cannot can't mustn't without unless except only before after until on off open shut closed"
)
_WORDS_THAT_TURN_A_MEANING = frozenset(f"{_NUMBERS} {_SIDES} {_POLARITY}".split()) | {"in front of"}
_WORD = re.compile(r"in front of|[0-9]+(?:[.,/][0-9]+)*|[a-z]+(?:'[a-z]+)?")
_ALWAYS = frozenset({"size", "count", "hazard", "signal", "prohibits"})


def changed_values(as_read: Fields, words: Fields) -> tuple[str, ...]:
    """The amended fields in which a value changes: size, count, hazard, signal, prohibition, number, side or "not".

    In text, the words that turn a meaning are compared in their order: other words around them change no value.
    """
    return tuple(
        name
        for name, value in words.items()
        if value != as_read.get(name) and (name in _ALWAYS or turning(value) != turning(as_read.get(name)))
    )


def turning(value: FieldValue) -> tuple[str, ...]:
    """The words of ``value`` that turn its meaning, in order: "never two left" of "never undo two on the left"."""
    text = "" if value is None else str(value).lower().replace("\u2019", "'")
    return tuple(w for w in _WORD.findall(text) if w[0].isdigit() or w in _WORDS_THAT_TURN_A_MEANING)


def opposed(one: FieldValue, other: FieldValue) -> tuple[str, str] | None:
    """Two sides that exclude each other, the first said by ``one`` alone and the second by ``other`` alone, or None."""
    first, second = Counter(turning(one)), Counter(turning(other))
    for pair in _OPPOSITES:
        for here, there in (pair, pair[::-1]):
            if first[here] and second[there] and not first[there] and not second[here]:
                return here, there
    return None


_OPPOSITES = (
    ("left", "right"), ("front", "rear"), ("front", "back"), ("driver", "passenger"), ("upper", "lower"),
    ("top", "bottom"), ("above", "below"), ("over", "under"), ("inside", "outside"), ("nearside", "offside"),
    ("clockwise", "anticlockwise"), ("clockwise", "counterclockwise"), ("up", "down"), ("forward", "backward"),
    ("forwards", "backwards"), ("in front of", "behind"), ("in front of", "rear"), ("in front of", "back"),
)  # fmt: skip
