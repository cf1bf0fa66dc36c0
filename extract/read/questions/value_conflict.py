"""The question that two values raise which cannot both be right."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.questions.claims import Claim, same_value, shared
from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.values import as_size

_NAMES = {"time": "wait"}
_OF_MANY = frozenset({"size", "size T", "count", "number"})
"""Sorts of which a talk has many: told first of the same thing, or not told first."""


def value_conflict(talk: Talk, said: Sequence[Claim], one: Claim, other: Claim, of: str = "") -> Iterator[Raised]:
    """The conflict between ``one`` and ``other``, with the sentence among ``said`` that told ``one`` first.

    ``of`` says what the values are of, where it is more than their sort. A value that only the one who asks has said is
    no claim: nothing then.
    """
    first = _first_told(said, one)
    if first.voice is not None and first.sentence.line in talk.askers and other.sentence.line not in talk.askers:
        return
    told = list(dict.fromkeys((first.sentence.number, one.sentence.number, other.sentence.number)))
    of_number = {c.sentence.number: c for c in (first, one, other)}
    sort = of or _NAMES.get(sort := (one.sort if not one.is_bare else other.sort).split(" ")[0], sort)
    values = [_shown(claim, sort) for claim in (one, other)]
    yield Raised(
        "conflict",
        f"{sort}: {values[0]} or {values[1]}",
        f"Which is right, {values[0]} or {values[1]}? ({sort})",
        tuple(words_of(talk, of_number[n].sentence.start, of_number[n].sentence.end) for n in told),
        disputed=tuple((of_number[n].value.first, of_number[n].value.last) for n in told),
    )


def _shown(claim: Claim, sort: str) -> str:
    """The value as people read it; a bare number that disputes a size is one: "No, thirteen."."""
    size = as_size(claim.value) if sort == "size" and claim.is_bare else None
    return (size or claim.value.quantity).normal


def _first_told(said: Sequence[Claim], one: Claim) -> Claim:
    """Where the value of ``one`` was told first, of the same thing as far as the words tell."""
    for earlier in said:
        is_free = earlier.sort == one.sort and one.sort not in _OF_MANY
        if same_value(earlier, one) and (shared(earlier, one) or is_free):
            return earlier
    return one
