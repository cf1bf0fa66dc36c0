"""How well an item is supported: a number, and why in words."""

from collections.abc import Sequence

from vouchbook.extract.read.found import Found
from vouchbook.models.evidence import Evidence
from vouchbook.models.transcript import Transcript

_WEAK_WORD = 0.5
"""Probability below which a single word is worth a second listen."""
_HEARD_SHARE = 0.5
"""How much of the score hangs on how well the words were heard, where the recogniser says so."""
_HIGHEST = 0.97
"""Nothing is certain before a person has vouched for it."""


def confidence(
    found: Found, evidence: Sequence[Evidence], transcript: Transcript, *, is_repaired: bool
) -> tuple[float, tuple[str, ...]]:
    """A number from 0 to 1 and its reasons: how plainly it is said, how well it was heard, how complete it is.

    ``is_repaired``: a name in it is known by its sound or a slip of spelling only.
    """
    score, reasons = found.act, list(found.reasons)
    words = [word for e in evidence for word in transcript.words[e.first_word : e.last_word + 1]]
    heard = [word.probability for word in words if word.probability is not None]
    if heard:
        score *= 1 - _HEARD_SHARE + _HEARD_SHARE * sum(heard) / len(heard)
        if weak := sum(probability < _WEAK_WORD for probability in heard):
            reasons.append(f"{weak} of {len(heard)} words were hard to hear")
    if found.kind == "step" and not found.fields["object"]:
        score *= 0.8
        reasons.append("what it is done to was not said")
    score = min(_HIGHEST, score + 0.02 * len(found.also))
    if is_repaired:
        score *= 0.9
        reasons.append("a name was told by its sound, see the quote")
    return round(score, 2), tuple(dict.fromkeys(reasons))
