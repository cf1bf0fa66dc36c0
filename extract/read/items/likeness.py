"""Whether two texts say one thing in other words."""

from rapidfuzz import fuzz

_ALIKE = 88
"""Percent of likeness from which two texts are taken for one."""


def is_alike(one: str, other: str) -> bool:
    """Whether the texts have nearly the same words, in any order: "rear left wheel", "left rear wheels"."""
    return fuzz.token_sort_ratio(one.lower(), other.lower()) >= _ALIKE


def is_part_of(one: str, other: str) -> bool:
    """Whether nearly all words of one text stand in the other: "under the seat", "under the seat, on the left"."""
    return fuzz.token_set_ratio(one.lower(), other.lower()) >= _ALIKE
