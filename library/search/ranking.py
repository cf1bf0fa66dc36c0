"""How well a sentence answers: BM25 over the groups of the plan, nearness of the words, worth (pure)."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from vouchbook.library.search.places import CONFIRMED, ITEM, REJECTED, SAID
from vouchbook.library.search.plan import Group, Plan

_K1, _B, _USUAL_WORDS = 1.2, 0.6, 12
"""BM25 of Robertson and Zaragoza (2009); a sentence of talk has about 12 words."""
_NEAR_SHARE = 0.25
_WORTH = {CONFIRMED: 1.15, ITEM: 1.08, SAID: 1.0, REJECTED: 0.7}


class Match(NamedTuple):
    """How a sentence was matched: ``score``, and the positions of the words that did it."""

    score: float
    positions: tuple[int, ...]


def match(plan: Plan, words: Sequence[str], tags: frozenset[str], worth: int) -> Match:
    """The match of one sentence, given its indexed ``words`` and ``tags``. Higher scores are better answers."""
    at: dict[str, list[int]] = {}
    for position, word in enumerate(words):
        at.setdefault(word, []).append(position)
    score, positions, firsts = 0.0, set[int](), list[int]()
    length = 1 - _B + _B * len(words) / _USUAL_WORDS
    for group in plan.groups:
        weight, found, size = 0.0, list[int](), 1
        for way in group.ways:
            if way.is_tag:
                weight = max(weight, way.weight if way.terms[0] in tags else 0.0)
                continue
            starts = _starts(way.terms, words, at)
            if starts:
                positions.update(start + step for start in starts for step in range(len(way.terms)))
                if way.weight > weight:
                    weight, found, size = way.weight, starts, len(way.terms)
        times = max(1, len(found))
        score += _rarity(group, plan) * weight * times * (_K1 + 1) / (times + _K1 * length)
        if found:
            firsts.append(found[0] + size // 2)
    if len(firsts) > 1:
        score *= 1 + _NEAR_SHARE * len(firsts) / (max(firsts) - min(firsts) + len(firsts))
    return Match(score * _WORTH[worth], tuple(sorted(positions)))


def _starts(terms: tuple[str, ...], words: Sequence[str], at: dict[str, list[int]]) -> list[int]:
    starts = at.get(terms[0], [])
    if len(terms) == 1:
        return starts
    return [start for start in starts if tuple(words[start : start + len(terms)]) == terms]


def _rarity(group: Group, plan: Plan) -> float:
    """The inverse document frequency; 0 for filters, which every result meets."""
    if group.is_required and group.ways[0].is_tag and not group.ways[0].terms[0].startswith("z_"):
        return 0.0
    held = min(group.sentences or 0, plan.sentences)
    return math.log(1 + (plan.sentences - held + 0.5) / (held + 0.5))
