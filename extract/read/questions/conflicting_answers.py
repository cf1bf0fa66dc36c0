"""Values that another voice sets right within a line or two: "Deep fifteen." "Those are eighteens."."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.claims import Claim, claims, differ, shared
from vouchbook.extract.read.questions.disputes import cites, contradicts, says_only
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.value_conflict import value_conflict
from vouchbook.extract.read.talk import Talk

_LINES_BACK = 2
_LONGEST_DISPUTE = 14
"""Tokens; who sets a value right says little else."""


def conflicting_answers(talk: Talk) -> Iterator[Raised]:
    """One question for each value that the next voice, or the one after, says otherwise; voices must be known."""
    said: list[Claim] = []
    for claim in claims(talk):
        if _sets_right(talk, claim):
            other = next((earlier for earlier in reversed(said) if _is_answered(talk, earlier, claim)), None)
            if other is not None:
                yield from value_conflict(talk, said, other, claim)
        said.append(claim)


def _sets_right(talk: Talk, claim: Claim) -> bool:
    """Whether the claim is said in a short sentence that disputes: a bare value opens the line, "no", or a book's."""
    sentence = claim.sentence
    if claim.voice is None or sentence.line in talk.chatter:
        return False
    if cites(talk, sentence):
        return True
    if sentence.end - sentence.start > _LONGEST_DISPUTE:
        return False
    opens_line = talk.sentences_of(sentence.line)[0] is sentence
    alone = opens_line and says_only(talk, sentence, claim.value.first, claim.value.last)
    return alone or contradicts(talk, sentence)


def _is_answered(talk: Talk, earlier: Claim, claim: Claim) -> bool:
    """Whether ``claim`` is another voice's word on the same value, with no question asked between the two."""
    back = claim.sentence.line - earlier.sentence.line
    if earlier.voice in {None, claim.voice} or not 0 < back <= _LINES_BACK or not differ(earlier, claim):
        return False
    if "count" in {earlier.sort, claim.sort} and not shared(earlier, claim):
        return False
    between = (
        s for line in range(earlier.sentence.line, claim.sentence.line) for s in talk.sentences_of(line)
        if s.start > earlier.sentence.start
    )  # fmt: skip
    return not any(s.asks for s in between)
