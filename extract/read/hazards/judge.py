"""Where a hazard is told, and how bad it is: the consequence decides the signal word, not the talker's own word."""

from collections.abc import Sequence
from dataclasses import dataclass

from vouchbook.extract.read.hazards.energy import ENERGY
from vouchbook.extract.read.hazards.heat import HEAT
from vouchbook.extract.read.hazards.motion import MOTION
from vouchbook.extract.read.hazards.outcome import OUTCOME
from vouchbook.extract.read.tape import Tape, words_pattern
from vouchbook.models.items import Hazard, Signal

_RULES = (*ENERGY, *HEAT, *MOTION, *OUTCOME)

_CALM = words_pattern(
    # a hazard word that tells the opposite: "that's not dangerous", "it can't hurt you", "no pressure in it"
    r"no (?:pressure|danger|hazard|current|volts|voltage)",
    r"(?:not|n't) (?:dangerous|hurt|poison\w*|toxic|flammable|explosive)",
    r"harmless|perfectly safe|quite safe",
)
_SEVERITY: dict[Signal, int] = {"notice": 0, "caution": 1, "warning": 2, "danger": 3}


@dataclass(frozen=True, slots=True)
class HazardWord:
    """Tokens ``start`` to ``end`` (exclusive) that tell a hazard.

    ``weight`` 2: enough on its own; 1: only beside a prohibition or another.
    """

    start: int
    end: int
    hazard: Hazard
    signal: Signal
    weight: int


def hazard_words(line: Tape) -> tuple[HazardWord, ...]:
    """The places on ``line`` that tell a hazard, in order; none where the talk says that it is harmless."""
    if _CALM.search(line.text):
        return ()
    found = [
        HazardWord(start, end, rule.hazard, rule.harm.signal, rule.harm.weight)
        for rule in _RULES
        for start, end in line.spans(rule.harm.pattern)
    ]
    return tuple(sorted(found, key=lambda word: (word.start, -word.weight, word.hazard)))


@dataclass(frozen=True, slots=True)
class Judgement:
    """The ``hazard`` that most is said about, the ``signal`` word of the worst, and the words ``deciding`` that."""

    hazard: Hazard
    signal: Signal
    deciding: tuple[HazardWord, ...]


def judge(words: Sequence[HazardWord]) -> Judgement:
    """The hazard that most is said about, and the signal word of the worst one (ANSI Z535.6).

    Without any word the hazard is "other" and the signal "warning": a prohibition whose reason was not told could hurt.
    """
    weights: dict[Hazard, int] = {}
    for word in words:
        weights[word.hazard] = weights.get(word.hazard, 0) + word.weight
    if not weights:
        return Judgement("other", "warning", ())
    hazard = max(weights, key=lambda each: (each != "other", weights[each]))  # "that can kill" names no hazard
    counted = [word for word in words if word.hazard == hazard or word.weight == 2]
    signal = max((word.signal for word in counted), key=lambda each: _SEVERITY[each])
    return Judgement(hazard, signal, tuple(word for word in counted if word.signal == signal))
