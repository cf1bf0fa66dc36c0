"""What may have been misheard or misspoken, or was not known for sure: weak words, unusual values, alternatives."""

from collections.abc import Collection, Iterator

from vouchbook.extract.read.hedges import hedges
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.conflicts import disputed_values
from vouchbook.extract.read.questions.misheard import misheard
from vouchbook.extract.read.questions.raised import Findings, Raised, WordSpan, words_of
from vouchbook.extract.read.series import is_plausible, is_usual
from vouchbook.extract.read.talk import Talk
from vouchbook.models.quantities import Quantity


def doubts(findings: Findings) -> Iterator[Raised]:
    """Questions of kinds ``doubtful`` and ``implausible``, in the order of the talk."""
    values = list(_values(findings.talk))
    asked = {raised.spans[0] for raised in values if raised.kind == "doubtful"}
    every = [*misheard(findings), *values, *_unsure(findings.talk, asked)]
    yield from sorted(every, key=lambda raised: raised.spans[0])


def _unsure(talk: Talk, asked: Collection[WordSpan]) -> Iterator[Raised]:
    """What the speaker himself was not sure of, but for a size that is ``asked`` about as left open already."""
    for hedge in hedges(talk):
        first, last = words_of(talk, hedge.start, hedge.end)
        if any(first <= start and end <= last for start, end in asked):
            continue
        said = text_of(talk.doc, hedge.start, hedge.end)
        yield Raised(
            "doubtful",
            f"not sure: {said}",
            f"The speaker was not sure: \u201c{said}\u201d. Who knows it for certain, or where is it written?",
            ((first, last),),
            by=(words_of(talk, *hedge.by),),
        )


def _values(talk: Talk) -> Iterator[Raised]:
    """Sizes that the talk leaves open ("ten or twelve"), and values that are not usual: a 14.5 mm socket, 4000 V.

    A value that two statements dispute is asked about as their conflict, and not as an unusual one again.
    """
    disputed = disputed_values(talk)
    for value in talk.values:
        span, quantity = ((value.first, value.last),), value.quantity
        if any(first <= value.last and value.first <= last for first, last in disputed):
            continue
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
