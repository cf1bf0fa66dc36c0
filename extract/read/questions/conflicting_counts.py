"""Numbers of components that disagree: "eight isolators", and later "the six isolators"."""

from collections.abc import Iterator
from itertools import combinations

from vouchbook.extract.read.questions.claims import Claim, claims, differ
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.value_conflict import value_conflict
from vouchbook.extract.read.tags import PLURAL_NOUNS
from vouchbook.extract.read.talk import Talk

_MANY = frozenset("wheel door window tyre tire axle seat panel cover cable flap".split())
"""Of these a machine has several sets; two numbers of them need not disagree."""
_BETWEEN = frozenset({"JJ", "NN", "VBN"})
_COUNTED_WITHIN = 3
"""Tokens behind a number within which what it counts stands: "two high voltage isolators"."""


def conflicting_counts(talk: Talk) -> Iterator[Raised]:
    """One question for each component of which two lines tell different numbers: the first pair that disagrees."""
    every = [claim for claim in claims(talk) if claim.sentence.line not in talk.chatter]
    counted = [(part, claim) for claim in every if (part := _counted(talk, claim))]
    asked: set[str] = set()
    for (part, one), (other_part, other) in combinations(counted, 2):
        is_told_apart = one.sentence.line != other.sentence.line
        if part == other_part and part not in asked and is_told_apart and differ(one, other):
            asked.add(part)
            yield from value_conflict(talk, [claim for _, claim in counted], one, other, f"number of {part}")


def _counted(talk: Talk, claim: Claim) -> str | None:
    """The things that a number counts, when they are components: "eight isolators" gives "isolator"."""
    doc, sentence, last_word = talk.doc, claim.sentence, claim.value.last
    token = talk.token_of(last_word)
    if claim.sort not in {"count", "number"} or token is None:
        return None
    while token + 1 < sentence.end and talk.word(token + 1) == last_word:
        token += 1
    for at in range(token + 1, min(sentence.end, token + 1 + _COUNTED_WITHIN)):
        if doc[at].tag_ in PLURAL_NOUNS:
            parts = [m.entry.term for m in talk.mentions_in(max(token + 1, at - 2), at + 1, "part")]
            return parts[-1] if parts and parts[-1] not in _MANY else None
        if doc[at].tag_ not in _BETWEEN:
            return None
    return None
