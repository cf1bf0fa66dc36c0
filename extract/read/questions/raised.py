"""What a question maker raised: a question before it has an id."""

from dataclasses import dataclass

from vouchbook.models.phases import Phase
from vouchbook.models.questions import QuestionKind


@dataclass(frozen=True, slots=True)
class Raised:
    """``spans`` are the word ranges (first, last) of the transcript that raise it; none for an uncovered topic."""

    kind: QuestionKind
    about: str
    ask: str
    spans: tuple[tuple[int, int], ...] = ()
    phase: Phase | None = None
    seconds: tuple[float, float] | None = None
