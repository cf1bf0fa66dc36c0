"""What a question maker raised: a question before it has an id."""

from dataclasses import dataclass

from vouchbook.models.phases import Phase
from vouchbook.models.questions import QuestionKind

WordSpan = tuple[int, int]
"""The words ``first`` to ``last`` of a transcript, both included."""


@dataclass(frozen=True, slots=True)
class Raised:
    """``spans`` are the words that raise it; none for an uncovered topic. ``disputed`` are the values that disagree."""

    kind: QuestionKind
    about: str
    ask: str
    spans: tuple[WordSpan, ...] = ()
    phase: Phase | None = None
    seconds: tuple[float, float] | None = None
    disputed: tuple[WordSpan, ...] = ()
