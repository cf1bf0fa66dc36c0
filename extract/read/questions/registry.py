"""The kinds of open questions: a new kind is one file here, one line below, and its word in ``models``."""

from collections.abc import Callable, Iterator

from vouchbook.extract.read.questions.borrowed import borrowed
from vouchbook.extract.read.questions.conflicts import conflicts
from vouchbook.extract.read.questions.doubts import doubts
from vouchbook.extract.read.questions.order_hazards import order_hazards
from vouchbook.extract.read.questions.pointers import pointers
from vouchbook.extract.read.questions.raised import Findings, Raised
from vouchbook.extract.read.questions.uncovered import uncovered
from vouchbook.extract.read.questions.unheard import unheard
from vouchbook.extract.read.questions.untold import untold

MAKERS: tuple[Callable[[Findings], Iterator[Raised]], ...] = (
    pointers, borrowed, conflicts, order_hazards, doubts, unheard, uncovered, untold,
)  # fmt: skip
"""In the order in which a draft lists what they raise."""
