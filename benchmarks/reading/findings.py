"""What a reader finds, in words of the transcript that it was given, and what every reader can do."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, Protocol

from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Transcript

Kind = Literal["step", "tool", "location", "warning", "cue", "part", "state"]
Span = tuple[int, int]
"""First and last word, both included."""

PARTICLES = frozenset("off out up down away apart in on back".split())
"""Words behind a verb that complete it: "take off"."""
COUNTS = {word: n for n, word in enumerate("one two three four five six seven eight nine ten eleven twelve".split(), 1)}
COUNTS |= {"single": 1, "both": 2}
"""Words that tell how many, for the plain readers."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding of ``kind`` that the words ``span`` say; ``fields`` are those of the record of that kind.

    ``verb`` is the word of a step's deed, ``particle`` the one that completes it, ``thing`` the words that it is done
    to. ``size`` is a size in its normal form, ``size_at`` the words that say it, ``count`` how many were said.
    ``is_implied``: nobody named the tool, a fastener or a size asks for it.
    """

    kind: Kind
    span: Span
    fields: dict[str, str] = field(default_factory=dict)
    verb: int | None = None
    particle: int | None = None
    thing: Span | None = None
    size: str | None = None
    size_at: Span | None = None
    count: int | None = None
    is_implied: bool = False


class Reader(Protocol):
    """One way of reading."""

    @property
    def name(self) -> str:
        """What its column is called."""

    @property
    def used(self) -> str:
        """What of the library or of Vouchbook reads written texts, in one line."""

    def draft(self, transcript: Transcript) -> Draft:
        """A draft of a talk."""

    def read(self, transcript: Transcript) -> Sequence[Finding]:
        """What a written text says, as a transcript of one line."""
