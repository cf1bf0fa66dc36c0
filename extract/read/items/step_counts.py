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
