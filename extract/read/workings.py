"""All that one reading worked out about a talk: what a draft is made of, and what an explanation shows."""

from collections.abc import Mapping
from dataclasses import dataclass

from vouchbook.extract.read.expected import Expected
from vouchbook.extract.read.found import Placed
from vouchbook.extract.read.marked.weighing import Weighed
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks


@dataclass(frozen=True)
class Workings:
    """``items`` and ``raised`` stand in the order of the draft that is made of them.

    ``marks`` are what the tagger sees in each word, ``weighed`` the candidates of each kind; None and empty without a
    tagger.
    """

    talk: Talk
    marks: Marks | None
    weighed: Mapping[str, Weighed]
    items: tuple[Placed, ...]
    raised: tuple[Raised, ...]
    expected: tuple[Expected, ...]
