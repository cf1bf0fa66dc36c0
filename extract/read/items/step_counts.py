"""How many of a thing are told, right at the thing or right after it."""

import re

from vouchbook.extract.read.found import Said
from vouchbook.extract.read.tags import PLURAL_NOUNS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value, as_count

MOST = 60
"""More things than this are not counted off a machine; the number belongs to something else."""
_DETERMINERS_LENGTH = 3
"""Tokens before a noun phrase in which its number may stand: "all six of the bolts"."""
_OF_THEM = words_pattern(
    r"(?:two|three|four|six|eight|both|a pair|one pair|a couple)(?: of (?:'em|em|them|those))?(?= ,| \.|$)"
)
_OF_THEM_LENGTH = 7
_CLASSES = frozenset("class cut level grade number category type".split())
"""Words before a number that names a kind of thing: "class 0 gloves", "cut 5 gloves"."""
_MEASURED = re.compile(
    r"(?:of the |the |of your |your )?(?:\w+ )?(?:sides?|ends?|hands?|feet|ways?|paces?|steps?|strokes?|times?|floors?|"
    r"people|persons?|men|lads|fingers?|kilos?|kilogram(?:me)?s|tonnes?|poles?|pole|parts?|lengths?|cal|turns?|minutes?|seconds?|"
    r"hours?|odd)(?!\S)"
)
"""Right behind a number that counts no thing that is handled."""
_SHARED = re.compile(
    r"(?:[\w'-]+ ){0,2}?(?:, )?(?:(?:on |at |in |to |for )?(?:each|every|either)(?!\S)|per \w+|"
    r"(?:to )?an? (?:side|end|panel|leg|board|corner|wheel|door|post|car|cabinet|box|tank)(?!\S))"
)
"""Behind a number that is a share: "two each side", "four bolts an end", "six to a panel"."""
_SHARE_WITHIN = 6
_BESIDE, _NOUN_WITHIN = 25, 4
"""Tokens around a step in which the number of its things may be told, and behind a number in which its noun stands."""


def count_of(talk: Talk, start: int, end: int) -> Said | None:
    """The number in the noun phrase of tokens ``start`` to ``end``: "three", "both", "all six".

    A bare number counts a plural only: not the ten of "a ten socket". A number of places, hands or paces ("both
    sides") counts no thing, and neither does a share of an unknown number ("two on each").
    """
    is_plural = any(t.tag_ in PLURAL_NOUNS for t in talk.doc[start:end])
    sentence_start = talk.doc[start].sent.start
    for value in talk.values_in(max(0, start - _DETERMINERS_LENGTH, sentence_start), end):
        counted = as_count(value)
        if counted is None or (counted.value or 0) > MOST or not (value.quantity.dimension == "count" or is_plural):
            continue
        if _is_cut_off(talk, value, start) or is_no_count(talk, value):
            continue
        return Said(counted, value.first, value.last)
    return None


def is_no_count(talk: Talk, value: Value) -> bool:
    """Whether the number counts places or measures, names a class, or is a share: "both ends", "cut 5", "two each"."""
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    if first is None or last is None:
        return True
    while last + 1 < len(talk.doc) and talk.word(last + 1) == value.last and not talk.doc[last + 1].is_punct:
        last += 1  # "thirty-odd"
    sentence = talk.doc[first].sent
    if first > sentence.start and talk.doc[first - 1].lower_ in _CLASSES:
        return True
    behind = talk.tape(last + 1, min(sentence.end, last + 1 + _SHARE_WITHIN)).text
    return _MEASURED.match(behind) is not None or _SHARED.match(behind) is not None


def _is_cut_off(talk: Talk, value: Value, start: int) -> bool:
    """Whether punctuation parts the number from the noun phrase that begins at ``start``."""
    last = talk.token_of(value.last)
    return last is not None and last < start and any(t.is_punct for t in talk.doc[last + 1 : start])


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
        if is_no_count(talk, value):
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
