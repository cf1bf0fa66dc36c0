"""Timed words. A transcript never changes: repairs lie over it, beside what was heard."""

from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from vouchbook.models.record import Record

Timing = Literal["heard", "interpolated"]


class Word(Record):
    """One word as it was written down, punctuation attached.

    ``probability`` is the recogniser's, None where a person or an unknown program wrote the captions.
    ``timing`` says whether the seconds were measured or spread over the caption's length.
    """

    text: str = Field(min_length=1, pattern=r"^\S+$")
    start_s: float = Field(ge=0)
    end_s: float = Field(ge=0)
    probability: float | None = Field(default=None, ge=0, le=1)
    voice: str | None = None
    timing: Timing = "heard"

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        if self.end_s < self.start_s:
            raise ValueError(f"word {self.text!r} ends at {self.end_s} s, before it starts at {self.start_s} s")
        return self


class Line(Record):
    """A caption or recogniser segment: words ``first_word`` to ``last_word``, both included."""

    first_word: int = Field(ge=0)
    last_word: int = Field(ge=0)
    start_s: float = Field(ge=0)
    end_s: float = Field(ge=0)


class UnheardStretch(Record):
    """Seconds in which somebody may have spoken and no words, or only unlikely ones, were understood."""

    start_s: float = Field(ge=0)
    end_s: float = Field(ge=0)
    reason: Literal["no words", "unlikely words"]


class Source(Record):
    """Where words came from: one file, known by its SHA-256, and its place on the visit's one clock."""

    name: str
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    offset_s: float = Field(default=0, ge=0)
    duration_s: float | None = Field(default=None, ge=0)
    kind: Literal["recording", "captions"]


class Transcript(Record):
    """The words of one visit, on one clock that starts with the first source.

    Words stand in the order of their line; starts never fall inside a line.
    """

    VERSION: ClassVar[int] = 1

    version: int = VERSION
    sources: tuple[Source, ...] = ()
    language: str = "en"
    made_by: str = ""
    duration_s: float = Field(default=0, ge=0)
    words: tuple[Word, ...] = ()
    lines: tuple[Line, ...] = ()
    unheard: tuple[UnheardStretch, ...] = ()
    notes: tuple[str, ...] = ()
    """What was repaired or left out on the way in, one sentence each."""

    @model_validator(mode="after")
    def _lines_cover_the_words(self) -> Self:
        following = 0
        for line in self.lines:
            if line.first_word != following or not line.first_word <= line.last_word < len(self.words):
                raise ValueError(f"line {line.first_word} to {line.last_word} does not follow word {following - 1}")
            following = line.last_word + 1
        if following != len(self.words):
            raise ValueError(f"the lines end at word {following - 1} of {len(self.words)}")
        return self

    def source_at(self, seconds: float) -> tuple[int, float]:
        """The number (from 1) of the source that plays at ``seconds`` of the visit, and the seconds within it.

        Before the first source begins, and where there is none, it is number 1.
        """
        started = [(number, source) for number, source in enumerate(self.sources, 1) if source.offset_s <= seconds]
        number, offset_s = (started[-1][0], started[-1][1].offset_s) if started else (1, 0.0)
        return number, seconds - offset_s

    def text(self, first_word: int, last_word: int) -> str:
        """The exact words from ``first_word`` to ``last_word``, both included, joined by single spaces."""
        return " ".join(word.text for word in self.words[first_word : last_word + 1])
