"""What a talk left open, for the next visit."""

from typing import Literal, Self

from pydantic import Field, model_validator

from vouchbook.models.evidence import Evidence
from vouchbook.models.phases import Phase
from vouchbook.models.record import Record

QuestionKind = Literal[
    "pointer", "borrowed", "conflict", "uncovered", "untold", "unheard", "doubtful", "implausible", "order",
]  # fmt: skip
WITHOUT_WORDS: frozenset[QuestionKind] = frozenset({"uncovered", "untold"})
"""What nobody spoke of: it stands at no second of the talk."""


class OpenQuestion(Record):
    """One thing to ask or look at.

    ``about`` names it in a few words, ``ask`` is the sentence that the officer can say on the next visit. All kinds but
    ``uncovered``, ``untold`` and ``unheard`` rest on words; a ``conflict`` has one range of seconds for each side. An
    ``uncovered`` topic was left out as a whole, an ``untold`` thing is one that should have been told under its topic.
    """

    id: str = Field(pattern=r"^q[0-9]+$")
    kind: QuestionKind
    start: float = Field(ge=0)
    end: float = Field(ge=0)
    about: str = Field(min_length=1)
    ask: str = Field(min_length=1)
    evidence: tuple[Evidence, ...] = ()
    phase: Phase | None = None
    ranges: tuple[tuple[float, float], ...] = ()

    @model_validator(mode="after")
    def _has_what_its_kind_needs(self) -> Self:
        if self.kind not in WITHOUT_WORDS | {"unheard"} and not self.evidence:
            raise ValueError(f"a question of kind {self.kind} needs the words that raised it")
        if self.kind in WITHOUT_WORDS and self.phase is None:
            raise ValueError(f"an {self.kind} topic needs its phase")
        if self.kind == "conflict" and len(self.ranges) < 2:
            raise ValueError("a conflict needs the seconds of both sides")
        return self
