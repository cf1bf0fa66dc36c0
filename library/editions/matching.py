"""Which items of two lists are the same item: same kind, words alike, each the best partner of the other."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from rapidfuzz import fuzz

from vouchbook.models.decisions import Fields, FieldValue
from vouchbook.models.editions import ItemKind

_IDLE = frozenset("a an the this that these those of to it its it's is are and your you there there's on in at".split())
_SAME = 70
"""Percent of likeness from which two items are taken for one. By trial on our own table of cases, no source."""
_KEY_FIELDS: dict[ItemKind, tuple[tuple[str, float], ...]] = {
    "step": (("action", 0.35), ("object", 0.65)),
    "tool": (("name", 0.4), ("fastener", 0.6)),
    "location": (("part", 1.0),),
    "warning": (("text", 1.0),),
    "cue": (("text", 1.0),),
}
"""The fields that say which item it is, and their weight: the thing counts more than the verb or the tool."""


class Worded(Protocol):
    """Anything with a kind and the fields that people read of it."""

    @property
    def kind(self) -> ItemKind: ...  # noqa: D102
    @property
    def fields(self) -> Fields: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Line:
    """An item by the fields that are to be compared."""

    kind: ItemKind
    fields: Fields


def content_words(value: FieldValue) -> str:
    """The words of ``value`` that carry meaning, lower case: "hopper door" of "the hopper door"."""
    text = "" if value is None else str(value)
    words = [word.strip('.,;:!?\u201c\u201d"()') for word in text.lower().replace("\u2019", "'").split()]
    return " ".join(word for word in words if word and word not in _IDLE)


def likeness(one: FieldValue, other: FieldValue) -> float:
    """Percent of likeness of two texts by their content words, in any order; 100 where neither says anything."""
    here, there = content_words(one), content_words(other)
    return 100.0 if here == there else fuzz.token_sort_ratio(here, there)


def item_likeness(kind: ItemKind, one: Fields, other: Fields) -> float:
    """Percent of likeness of two items of ``kind`` by the fields that say which item it is.

    ``other`` may say more in further sentences: of warnings and cues, whether each sentence of ``one`` is there counts.
    """
    told = [(name, weight) for name, weight in _KEY_FIELDS[kind] if one.get(name) or other.get(name)]
    total = sum(weight for _, weight in told)
    whole = sum(weight * likeness(one.get(name), other.get(name)) for name, weight in told) / total
    if "text" in one:
        whole = max(whole, _is_said_in(one.get("text"), other.get("text")))
    if kind == "warning" and one.get("prohibits") and other.get("prohibits"):
        return max(whole, likeness(one["prohibits"], other["prohibits"]))
    return whole


def _is_said_in(one: FieldValue, other: FieldValue) -> float:
    """Percent of likeness of that sentence of ``one`` which is least like any of ``other``."""
    here, there = (_sentences(value) for value in (one, other))
    return min((max((likeness(each, said) for said in there), default=0.0) for each in here), default=0.0)


def _sentences(value: FieldValue) -> list[str]:
    return [part for part in re.split(r"[.!?;]\s+", str(value or "")) if content_words(part)]


def pairs(old: Sequence[Worded], new: Sequence[Worded], least: float = _SAME) -> tuple[tuple[int, int], ...]:
    """The places (in ``old``, in ``new``) of items that are the same, in the order of ``new``; each item at most once.

    The likest pair is taken first; among equals that with more equal fields, then that with the nearer place.
    """
    candidates: list[tuple[float, int, int, int, int]] = []
    for n, there in enumerate(new):
        for o, here in enumerate(old):
            if here.kind != there.kind:
                continue
            score = item_likeness(here.kind, here.fields, there.fields)
            if score >= least:
                candidates.append((-score, -_equal(here.fields, there.fields), abs(o - n), o, n))
    taken_old: set[int] = set()
    taken_new: set[int] = set()
    found: list[tuple[int, int]] = []
    for *_, o, n in sorted(candidates):
        if o not in taken_old and n not in taken_new:
            taken_old.add(o)
            taken_new.add(n)
            found.append((o, n))
    return tuple(sorted(found, key=lambda pair: pair[1]))


def _equal(one: Mapping[str, FieldValue], other: Mapping[str, FieldValue]) -> int:
    return sum(one[name] == other.get(name) for name in one)
