"""Two statements of one talk that disagree: a wait, a distance, a number, a size, a side, a place, an order, yes or no.

The value that they dispute is left off the items until a person has looked.
"""

from collections.abc import Callable, Iterator

from vouchbook.extract.read.questions.conflicting_answers import conflicting_answers
from vouchbook.extract.read.questions.conflicting_counts import conflicting_counts
from vouchbook.extract.read.questions.conflicting_orders import conflicting_orders
from vouchbook.extract.read.questions.conflicting_permissions import conflicting_permissions
from vouchbook.extract.read.questions.conflicting_places import conflicting_places
from vouchbook.extract.read.questions.conflicting_recalled import conflicting_recalled
from vouchbook.extract.read.questions.conflicting_sides import conflicting_sides
from vouchbook.extract.read.questions.conflicting_told_twice import conflicting_told_twice
from vouchbook.extract.read.questions.raised import Findings, Raised, WordSpan
from vouchbook.extract.read.talk import Talk, once


def conflicts(findings: Findings) -> Iterator[Raised]:
    """One question for each pair of statements that cannot both be true."""
    yield from _of_talk(findings.talk)


def disputed_values(talk: Talk) -> tuple[WordSpan, ...]:
    """The words of all values that a conflict is about."""
    return tuple(span for raised in _of_talk(talk) for span in raised.disputed)


FINDERS: tuple[Callable[[Talk], Iterator[Raised]], ...] = (
    conflicting_answers, conflicting_recalled, conflicting_told_twice, conflicting_counts, conflicting_sides,
    conflicting_places, conflicting_permissions, conflicting_orders,
)  # fmt: skip
"""What finds conflicts, one file each; of two that dispute the same value, the first is asked."""


@once
def _of_talk(talk: Talk) -> tuple[Raised, ...]:
    asked: set[WordSpan] = set()
    kept: list[Raised] = []
    for find in FINDERS:
        for raised in find(talk):
            if not asked & set(raised.disputed or raised.spans):
                kept.append(raised)
            asked |= set(raised.disputed or raised.spans)
    return tuple(kept)
