"""What may have been misheard or misspoken: weak words that carry meaning, unusual values, alternatives."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.raised import Findings, Raised
from vouchbook.extract.read.series import is_plausible, is_usual
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.words import plain
from vouchbook.models.quantities import Quantity

_WEAK = 0.6
"""Probability below which a word that carries polarity, side, number or unit is asked about, whatever the rest says."""
_POLARITY = frozenset(
    """
    not no never don't dont can't cant mustn't mustnt won't shouldn't nobody none isn't doesn't without unless only
    until before
    """.split()
)
_SIDES = frozenset(
    """
    left right front rear top bottom upper lower clockwise anticlockwise counterclockwise on off in out up down open
    closed shut nearside offside
    """.split()
)
_AROUND = 4
"""Words on each side of a weak one that are read out with it."""


def doubts(findings: Findings) -> Iterator[Raised]:
    """Questions of kinds ``doubtful`` and ``implausible``, in the order of the talk."""
    talk = findings.talk
    yield from sorted([*_weak_words(talk), *_values(talk)], key=lambda raised: raised.spans[0])


def _weak_words(talk: Talk) -> Iterator[Raised]:
    """ "Do not cut" heard as "do cut" is the worst that can happen here, so each weak "not" is asked about."""
    in_value = {number for value in talk.values for number in range(value.first, value.last + 1)}
    for number, word in enumerate(talk.transcript.words):
        if word.probability is None or word.probability >= _WEAK:
            continue
        said = plain(word.text)
        if said in _POLARITY | _SIDES or said.endswith("n't") or number in in_value:
            last = min(len(talk.transcript.words) - 1, number + _AROUND)
            around = talk.transcript.text(max(0, number - _AROUND), last)
            yield Raised(
                "doubtful",
                f"was it \u201c{word.text}\u201d?",
                f"Was it really \u201c{word.text}\u201d in \u201c{around}\u201d?",
                ((number, number),),
            )


def _values(talk: Talk) -> Iterator[Raised]:
    """Sizes that the talk leaves open ("ten or twelve"), and values that are not usual: a 14.5 mm socket, 4000 V."""
    for value in talk.values:
        span, quantity = ((value.first, value.last),), value.quantity
        if value.is_open and any(_is_size(choice) for choice in value.alternatives):
            about, ask = f"size left open: {quantity.said}", f"Which size is it: \u201c{quantity.said}\u201d?"
            yield Raised("doubtful", about, ask, span)
        elif value.is_size and value.unit_said and not is_usual(quantity):
            about, ask = f"unusual size: {quantity.normal}", f"Is it really {quantity.normal}? It is not a usual size."
            yield Raised("implausible", about, ask, span)
        elif value.is_usable and not is_plausible(quantity):
            about, ask = (
                f"unusual value: {quantity.normal}",
                f"Is it really {quantity.normal}? That is out of the usual.",
            )
            yield Raised("implausible", about, ask, span)


def _is_size(quantity: Quantity) -> bool:
    return quantity.dimension in {"bit", "drive", "thread"} or quantity.unit in {"mm", "[in_i]"}
