"""Sizes that two people dispute: "Deep fifteen." "Those are eighteens." One fastener, a few lines apart."""

from collections.abc import Iterator
from dataclasses import dataclass

from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value, as_size
from vouchbook.models.quantities import Quantity

_SAYS_SIZE = words_pattern(
    # "those are eighteens", "no, thirteen", "Twelve.", "it's 13"
    r"(?:those|they|that|it|them|these|this)(?: 's| is| are| 're)? .*",
    r"(?:no|nope|nah|never)(?: ,)? .*",
    r"^\S+ ?\.?$",
    r".*\d.*|.*(?:teens?|tys?|tens|twos|fours|fives|sixes|sevens|eights|nines|threes)",
)
_NEAR_LINES = 3
_SMALLEST = 5
"""Smaller numbers are counts as a rule."""
_LONGEST_DISPUTE = 12
"""Tokens; who disputes a size says little else."""


@dataclass(frozen=True, slots=True)
class _SizeSaid:
    size: Quantity
    value: Value
    sentence: Sentence
    voice: str | None


def conflicting_sizes(talk: Talk) -> Iterator[Raised]:
    """One question for each size that another voice said otherwise within the last lines; voices must be known."""
    said: list[_SizeSaid] = []
    for sentence in talk.sentences:
        if sentence.asks or sentence.line in talk.askers or sentence.line in talk.chatter:
            continue
        for value in talk.values_in(sentence.start, sentence.end):
            size = _size(talk, sentence, value)
            if size is None:
                continue
            this = _SizeSaid(size, value, sentence, talk.voice(sentence.line))
            other = next((earlier for earlier in reversed(said) if _is_about_the_same(earlier, this)), None)
            if other and other.size.normal != size.normal and sentence.end - sentence.start <= _LONGEST_DISPUTE:
                yield _conflict(talk, other, this)
            said.append(this)


def _size(talk: Talk, sentence: Sentence, value: Value) -> Quantity | None:
    """The size that ``value`` says; a bare number only where the sentence talks of sizes."""
    size = None if value.is_drive else as_size(value)
    if size is None or (size.value is not None and size.value < _SMALLEST):
        return None
    if value.unit_said or value.is_plural or _SAYS_SIZE.search(talk.tape(sentence.start, sentence.end).text):
        return size
    return size if any(talk.mentions_in(sentence.start, sentence.end, "tool", "fastener")) else None


def _is_about_the_same(earlier: _SizeSaid, this: _SizeSaid) -> bool:
    """Whether another person said ``earlier`` a few lines before, as a size of the same sort."""
    if None in {earlier.voice, this.voice} or earlier.voice == this.voice:
        return False
    are_alike = earlier.size.normal[:1].isdigit() == this.size.normal[:1].isdigit() or not this.size.unit_said
    return are_alike and 0 < this.sentence.line - earlier.sentence.line <= _NEAR_LINES


def _conflict(talk: Talk, one: _SizeSaid, other: _SizeSaid) -> Raised:
    first, second = one.size.normal, other.size.normal
    return Raised(
        "conflict",
        f"size: {first} or {second}",
        f"Which size is right, {first} or {second}?",
        tuple(words_of(talk, s.sentence.start, s.sentence.end) for s in (one, other)),
        disputed=tuple((s.value.first, s.value.last) for s in (one, other)),
    )
