"""Topics that nobody spoke about. Not covered does not mean that there is no danger."""

from collections import Counter
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.models.phases import Phase

_ENOUGH_SAID = 3.0
"""What the words about a topic must weigh over the talk for it to count as spoken of, when no item stands under it."""

_ASK = {
    Phase.IDENTIFY: "How do we recognise it?",
    Phase.IMMOBILISE: "How do we keep it from moving?",
    Phase.DISABLE: "How do we take its energy away, and what is the second way?",
    Phase.ACCESS: "How do we get to people, and what must never be cut?",
    Phase.STORED_ENERGY: "What energy stays behind after shutdown, and for how long?",
    Phase.FIRE: "What does it do in a fire, and what do we put on it?",
    Phase.SUBMERSION: "What if it stands in water or has been flooded?",
    Phase.TOWING: "How is it moved, stored or handed back afterwards?",
}


def uncovered(found: Sequence[tuple[Found, Phase]], said: dict[Phase, float]) -> Iterator[Raised]:
    """A question for each topic without an item about which next to nothing was said. ``said`` is its weight in words."""
    items = Counter(phase for _, phase in found)
    for phase, ask in _ASK.items():
        if items[phase] == 0 and said[phase] < _ENOUGH_SAID:
            yield Raised("uncovered", f"not covered: {phase.label.lower()}", ask, phase=phase)
