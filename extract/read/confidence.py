"""How well an item is supported: a number, and why in words."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from vouchbook.extract.read.found import Found
from vouchbook.models.evidence import Evidence
from vouchbook.models.transcript import Transcript

_WEAK_WORD = 0.5
"""Probability below which a single word is worth a second listen."""
_HEARD_SHARE = 0.5
"""How much of the score hangs on how well the words were heard, where the recogniser says so."""
_UNSURE = 0.55
"""The most for what the speaker himself was not sure of: it is shown as "check this", however plainly it was said."""
_HIGHEST = 0.97
"""Nothing is certain before a person has vouched for it."""


class Change(NamedTuple):
    """``why`` the score changed, and the ``score`` from then on; ``reason`` is what the item says of it."""

    why: str
    score: float
    reason: str | None = None


def confidence(
    found: Found,
    evidence: Sequence[Evidence],
    transcript: Transcript,
    *,
    is_repaired: bool,
    unsure: str = "",
) -> tuple[float, tuple[str, ...]]:
    """A number from 0 to 1 and its reasons: how plainly it is said, how well it was heard, how complete it is.

    ``is_repaired``: a name in it is known by its sound or a slip of spelling only. ``unsure``: the words in which its
    speaker doubts it, "" where he does not.
    """
    changes = list(confidence_changes(found, evidence, transcript, is_repaired=is_repaired, unsure=unsure))
    score = changes[-1].score if changes else found.act
    reasons = (*found.reasons, *(change.reason for change in changes if change.reason))
    return round(score, 2), tuple(dict.fromkeys(reasons))


def confidence_changes(
    found: Found,
    evidence: Sequence[Evidence],
    transcript: Transcript,
    *,
    is_repaired: bool,
    unsure: str = "",
) -> Iterator[Change]:
    """What turns ``found.act`` into the confidence, one change on top of the other."""
    score = found.act
    words = [word for e in evidence for word in transcript.words[e.first_word : e.last_word + 1]]
    heard = [word.probability for word in words if word.probability is not None]
    if heard:
        mean = sum(heard) / len(heard)
        score *= 1 - _HEARD_SHARE + _HEARD_SHARE * mean
        weak = sum(probability < _WEAK_WORD for probability in heard)
        reason = f"{weak} of {len(heard)} words were hard to hear" if weak else None
        yield Change(f"the recogniser is {mean:.2f} sure of its words, on average", score, reason)
    if found.kind == "step" and not found.fields["object"]:
        score *= 0.8
        yield Change("what it is done to was not said", score, "what it is done to was not said")
    if found.also:
        score += 0.02 * len(found.also)
        yield Change(f"further places in the talk that say it or support it: {len(found.also)}", score)
    if score > _HIGHEST:
        score = _HIGHEST
        yield Change("nothing is certain before a person has vouched for it", score)
    if is_repaired:
        score *= 0.9
        reason = "a name was told by its sound, see the quote"
        yield Change(reason, score, reason)
    if unsure:
        score = min(score, _UNSURE)
        reason = f"the speaker was not sure: \u201c{unsure}\u201d"
        yield Change(reason, score, reason)
