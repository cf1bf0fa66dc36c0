"""What may have been misheard or misspoken: words hard to hear, unusual values, alternatives."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.misheard import misheard
from vouchbook.extract.read.questions.raised import Findings, Raised
from vouchbook.extract.read.series import is_plausible, is_usual
from vouchbook.extract.read.talk import Talk
from vouchbook.models.quantities import Quantity


def doubts(findings: Findings) -> Iterator[Raised]:
    """Questions of kinds ``doubtful`` and ``implausible``, in the order of the talk."""
    yield from sorted([*misheard(findings), *_values(findings.talk)], key=lambda raised: raised.spans[0])


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
