"""How well an item is supported: a number, and why in words."""

from collections.abc import Sequence

from vouchbook.extract.read.found import Found
from vouchbook.models.evidence import Evidence
from vouchbook.models.transcript import Transcript

_WEAK_WORD = 0.5
"""Probability below which a single word is worth a second listen."""


def confidence(
    found: Found, evidence: Sequence[Evidence], transcript: Transcript, *, repaired: bool
) -> tuple[float, tuple[str, ...]]:
    """A number from 0 to 1 and its reasons: how plainly it is said, how well it was heard, how complete it is."""
    reasons = list(found.reasons)
    score = found.act
    heard = [
        w.probability
        for e in evidence
        for w in transcript.words[e.first_word : e.last_word + 1]
        if w.probability is not None
    ]
    if heard:
        weak = sum(p < _WEAK_WORD for p in heard)
        mean = sum(heard) / len(heard)
        score *= 0.5 + 0.5 * mean
        if weak:
            reasons.append(f"{weak} of {len(heard)} words were hard to hear")
    if found.kind == "step" and not found.fields.get("object"):
        score *= 0.8
        reasons.append("what it is done to was not said")
    if found.also:
        score = min(0.97, score + 0.02 * len(found.also))
    if repaired:
        score *= 0.9
        reasons.append("a name was told by its sound, see the quote")
    return round(min(score, 0.97), 2), tuple(dict.fromkeys(reasons))


def in_words(score: float) -> str:
    """The confidence as a reviewer reads it."""
    if score >= 0.8:
        return "plainly said"
    if score >= 0.6:
        return "likely"
    return "check closely"
