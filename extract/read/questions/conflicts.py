"""Two statements of one talk that disagree: a wait, a distance, a number of things, a size, a side.

The value that they dispute is left off the items until a person has looked.
"""

from collections.abc import Iterator

from vouchbook.extract.read.questions.conflicting_amounts import conflicting_amounts
from vouchbook.extract.read.questions.conflicting_sides import conflicting_sides
from vouchbook.extract.read.questions.conflicting_sizes import conflicting_sizes
from vouchbook.extract.read.questions.raised import Findings, Raised, WordSpan
from vouchbook.extract.read.talk import Talk


def conflicts(findings: Findings) -> Iterator[Raised]:
    """One question for each pair of statements that cannot both be true."""
    yield from _of_talk(findings.talk)


def disputed_values(talk: Talk) -> tuple[WordSpan, ...]:
    """The words of all values that a conflict is about."""
    return tuple(span for raised in _of_talk(talk) for span in raised.disputed)


def _of_talk(talk: Talk) -> Iterator[Raised]:
    yield from conflicting_amounts(talk)
    yield from conflicting_sizes(talk)
    yield from conflicting_sides(talk)
