"""What a question maker gets, and what it gives: a question before it has an id."""

from dataclasses import dataclass

from vouchbook.extract.read.expected import Expected
from vouchbook.extract.read.found import Placed
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks
from vouchbook.models.phases import Phase
from vouchbook.models.questions import QuestionKind

WordSpan = tuple[int, int]
"""The words ``first`` to ``last`` of a transcript, both included."""


@dataclass(frozen=True, slots=True)
class Findings:
    """What was understood of a talk: all layers below the items, and the items in procedure order.

    ``marks`` are what the tagger sees in each word; None without a tagger. ``expected`` is what the packs want told.
    """

    talk: Talk
    items: tuple[Placed, ...]
    marks: Marks | None = None
    expected: tuple[Expected, ...] = ()


@dataclass(frozen=True, slots=True)
class Raised:
    """``spans`` are the words that raise it, none for what was not told or not heard.

    ``by`` are the words on which its rule was sprung, where ``spans`` show more around them. ``disputed`` are the
    values that disagree; ``seconds`` where it stands when no words do.
    """

    kind: QuestionKind
    about: str
    ask: str
    spans: tuple[WordSpan, ...] = ()
    phase: Phase | None = None
    seconds: tuple[float, float] | None = None
    disputed: tuple[WordSpan, ...] = ()
    by: tuple[WordSpan, ...] = ()


def words_of(talk: Talk, start: int, end: int) -> WordSpan:
    """The words of tokens ``start`` to ``end`` (exclusive)."""
    return talk.word(start), talk.word(end - 1)
