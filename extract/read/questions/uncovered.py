"""Topics that nobody spoke about. Not covered does not mean that there is no danger."""

from collections import Counter
from collections.abc import Iterator

from vouchbook.extract.read.questions.gaps import gaps
from vouchbook.extract.read.questions.raised import Findings, Raised
from vouchbook.extract.read.topics import firmly_spoken_for
from vouchbook.models.phases import Phase

_STRAY, _PASSING = 3, 2
"""Fewer items than this may have been put there by mistake; fewer sentences than this spoke of it in passing."""

_NAMED_WHEN_MEANT = frozenset({Phase.FIRE, Phase.SUBMERSION, Phase.TOWING})
"""Nobody talks of these without one of their plain words."""

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


def uncovered(findings: Findings) -> Iterator[Raised]:
    """A question for each topic that was left out, and behind it what the packs want told under that topic."""
    for phase in left_out(findings):
        due = (each.topic.ask for each in gaps(findings.expected) if each.topic.phase is phase)
        yield Raised("uncovered", f"not covered: {phase.label.lower()}", " ".join((_ASK[phase], *due)), phase=phase)


def left_out(findings: Findings) -> Iterator[Phase]:
    """Each topic of which no word firmly speaks and under which at most a stray item stands."""
    items = Counter(placed.phase for placed in findings.items)
    firmly = firmly_spoken_for(findings.talk)
    for phase in _ASK:
        stray, passing = (_STRAY, _PASSING) if phase in _NAMED_WHEN_MEANT else (1, 1)
        if (firmly[phase] == 0 and items[phase] < stray) or (items[phase] == 0 and firmly[phase] < passing):
            yield phase
