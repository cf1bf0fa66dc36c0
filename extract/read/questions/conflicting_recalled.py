"""Values that are taken up again much later: "The book says ten.", "I said eight before, make it fifteen."."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.questions.claims import Claim, claims, differ, same_value, shared
from vouchbook.extract.read.questions.disputes import cites, thinks_again
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.value_conflict import value_conflict
from vouchbook.extract.read.talk import Talk

_NEAR_LINES = 2
_MANY = frozenset({"size", "count", "number"})
"""Sorts of which a talk has many; two of them are of one thing only if both say the thing, or stand close."""


def conflicting_recalled(talk: Talk) -> Iterator[Raised]:
    """One question for each value given on another's word, or on second thoughts, that was told otherwise before."""
    every = claims(talk)
    for number, claim in enumerate(every):
        if claim.sentence.line in talk.chatter or claim.value.corrected_from:
            continue
        is_cited = cites(talk, claim.sentence)
        if not is_cited and not thinks_again(talk, claim.sentence):
            continue
        if (other := _meant(every[:number], claim, is_cited=is_cited)) is not None:
            yield from value_conflict(talk, every[:number], other, claim)


def _meant(earlier: Sequence[Claim], claim: Claim, *, is_cited: bool) -> Claim | None:
    """The earlier claim that ``claim`` is set against: one said again beside it, of the same thing, or the last one."""
    others = [each for each in earlier if each.sentence.line < claim.sentence.line and differ(each, claim)]
    for said in (each for each in earlier if each.sentence.line == claim.sentence.line and differ(each, claim)):
        # "I said eight before. My chef says fifteen."
        again = [each for each in others if same_value(each, said) and each.sort not in _MANY]
        if again:
            return next((each for each in again if shared(each, claim)), again[-1])
    alike = [each for each in others if each.sort == claim.sort or claim.is_bare]
    of_one_thing = [each for each in alike if shared(each, claim)]
    if of_one_thing:
        return of_one_thing[-1]
    near = [each for each in alike if claim.sentence.line - each.sentence.line <= _NEAR_LINES and each.sort != "count"]
    if near and (is_cited or claim.sort not in _MANY):
        return near[-1]
    return alike[-1] if alike and claim.sort not in _MANY else None
