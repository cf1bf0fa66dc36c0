"""How many of a thing are told, right at the thing or right after it."""

from vouchbook.extract.read.found import Said
from vouchbook.extract.read.tags import PLURAL_NOUNS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import as_count

MOST = 60
"""More things than this are not counted off a machine; the number belongs to something else."""
_DETERMINERS_LENGTH = 3
"""Tokens before a noun phrase in which its number may stand: "all six of the bolts"."""
_OF_THEM = words_pattern(
    r"(?:two|three|four|six|eight|both|a pair|one pair|a couple)(?: of (?:'em|em|them|those))?(?= ,| \.|$)"
)
_OF_THEM_LENGTH = 7
_BESIDE, _NOUN_WITHIN = 25, 4
"""Tokens around a step in which the number of its things may be told, and behind a number in which its noun stands."""


def count_of(talk: Talk, start: int, end: int) -> Said | None:
    """The number in the noun phrase of tokens ``start`` to ``end``: "three", "both", "all six".

    A bare number counts a plural only: not the ten of "a ten socket".
    """
    is_plural = any(t.tag_ in PLURAL_NOUNS for t in talk.doc[start:end])
    for value in talk.values_in(max(0, start - _DETERMINERS_LENGTH), end):
        counted = as_count(value)
        if counted and (counted.value or 0) <= MOST and (value.quantity.dimension == "count" or is_plural):
            return Said(counted, value.first, value.last)
    return None


def count_beside(talk: Talk, start: int, end: int, name: str) -> Said | None:
    """The number of the things called ``name`` told near tokens ``start`` to ``end``, in the same line.

    "There's a cover. Four screws, and they come out": the number right before a noun of the name.
    """
    nouns = {word.rstrip("s") for word in name.lower().split() if len(word) > 2}
    line = talk.line_at(start)
    for value in talk.values_in(max(0, start - _BESIDE), min(len(talk.doc), end + _BESIDE)):
        counted, last = as_count(value), talk.token_of(value.last)
        if counted is None or last is None or talk.line_at(last) != line or not 1 < (counted.value or 0) <= MOST:
            continue
        behind = talk.doc[last + 1 : last + 1 + _NOUN_WITHIN]
        noun = next((t for t in behind if t.tag_ in PLURAL_NOUNS), None)
        if noun is not None and noun.lemma_.lower().rstrip("s") in nouns:
            return Said(counted, value.first, value.last)
    return None


def count_after(talk: Talk, after: int) -> Said | None:
    """The number told right after the thing that ends before ``after``: "Chocks. Two of 'em"."""
    match = talk.tape(after, min(len(talk.doc), after + _OF_THEM_LENGTH)).first(_OF_THEM)
    if match is None:
        return None
    for value in talk.values_in(after, match[1]):
        counted = as_count(value)
        if counted and (counted.value or 0) <= MOST:
            return Said(counted, value.first, value.last)
    return None
