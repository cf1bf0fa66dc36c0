"""What may have been misheard or misspoken: weak words that carry meaning, sizes outside the usual, alternatives."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.series import is_usual
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.words import plain

_WEAK = 0.6
"""Probability below which a word that carries polarity, side, number or unit is asked about, whatever the rest says."""

_POLARITY = frozenset(
    [
        "not",
        "no",
        "never",
        "don't",
        "dont",
        "can't",
        "cant",
        "mustn't",
        "mustnt",
        "won't",
        "shouldn't",
        "nobody",
        "none",
        "isn't",
        "doesn't",
        "without",
        "unless",
        "only",
        "until",
        "before",
    ]
)
_SIDES = frozenset(
    [
        "left",
        "right",
        "front",
        "rear",
        "top",
        "bottom",
        "upper",
        "lower",
        "clockwise",
        "anticlockwise",
        "counterclockwise",
        "on",
        "off",
        "in",
        "out",
        "up",
        "down",
        "open",
        "closed",
        "shut",
        "nearside",
        "offside",
    ]
)


def doubts(talk: Talk) -> Iterator[Raised]:
    """Questions of kinds ``doubtful`` and ``implausible``, in the order of the talk."""
    yield from sorted([*_weak_words(talk), *_values(talk)], key=lambda r: r.spans[0])


def _weak_words(talk: Talk) -> Iterator[Raised]:
    words = talk.transcript.words
    in_value = {n for v in talk.values for n in range(v.first, v.last + 1)}
    for number, word in enumerate(words):
        if word.probability is None or word.probability >= _WEAK:
            continue
        said = plain(word.text)
        if said in _POLARITY or said.endswith("n't") or said in _SIDES or number in in_value:
            first, last = max(0, number - 4), min(len(words) - 1, number + 4)
            around = talk.transcript.text(first, last)
            yield Raised(
                "doubtful",
                f"was it \u201c{word.text}\u201d?",
                f"Was it really \u201c{word.text}\u201d in \u201c{around}\u201d?",
                ((number, number),),
            )


def _values(talk: Talk) -> Iterator[Raised]:
    for value in talk.values:
        span = ((value.first, value.last),)
        if value.is_open and value.is_size:
            yield Raised(
                "doubtful",
                f"size left open: {value.quantity.said}",
                f"Which size is it: \u201c{value.quantity.said}\u201d?",
                span,
            )
        elif value.is_size and value.unit_said and not is_usual(value.quantity):
            yield Raised(
                "implausible",
                f"unusual size: {value.quantity.normal}",
                f"Is it really {value.quantity.normal}? It is not a usual size.",
                span,
            )
