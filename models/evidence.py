"""The words that support something. Evidence can only be made against the transcript that holds them."""

from typing import Self

from pydantic import Field, ModelWrapValidatorHandler, ValidationInfo, model_validator

from vouchbook.models.record import Record
from vouchbook.models.transcript import Transcript


class Evidence(Record):
    """Exact words of a transcript, with their place and seconds.

    Made by :func:`quote`, or by ``model_validate(data, context={"transcript": transcript})``; without a transcript to
    check against, or with words that do not stand at that place, construction fails.
    """

    first_word: int = Field(ge=0)
    last_word: int = Field(ge=0)
    quote: str = Field(min_length=1)
    start_s: float = Field(ge=0)
    end_s: float = Field(ge=0)
    voice: str | None = None

    @model_validator(mode="wrap")
    @classmethod
    def _checked_when_made(cls, data: object, make: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        """Evidence that exists was checked when it was made; everything else is checked now."""
        if isinstance(data, cls):
            return data
        evidence = make(data)
        transcript = (info.context or {}).get("transcript")
        if not isinstance(transcript, Transcript):
            raise ValueError("evidence needs the transcript that it quotes")  # noqa: TRY004  pydantic wants a ValueError
        evidence.check_against(transcript)
        return evidence

    def check_against(self, transcript: Transcript) -> None:
        """Raises ValueError where ``transcript`` does not hold these words at this place and these seconds."""
        if not self.first_word <= self.last_word < len(transcript.words):
            raise ValueError(f"no words {self.first_word} to {self.last_word} among {len(transcript.words)}")
        if transcript.text(self.first_word, self.last_word) != self.quote:
            raise ValueError(f"the transcript does not say {self.quote!r} at word {self.first_word}")
        words = transcript.words[self.first_word : self.last_word + 1]
        if (self.start_s, self.end_s) != (words[0].start_s, max(word.end_s for word in words)):
            raise ValueError(f"the words {self.quote!r} are not spoken from {self.start_s} to {self.end_s} s")


def quote(transcript: Transcript, first_word: int, last_word: int) -> Evidence:
    """Evidence for the words ``first_word`` to ``last_word``, both included.

    Raises:
        pydantic.ValidationError: the transcript has no such words.
    """
    words = transcript.words[first_word : last_word + 1]
    return Evidence.model_validate(
        {
            "first_word": first_word,
            "last_word": last_word,
            "quote": transcript.text(first_word, last_word),
            "start_s": words[0].start_s if words else 0,
            "end_s": max((word.end_s for word in words), default=0),
            "voice": words[0].voice if words else None,
        },
        context={"transcript": transcript},
    )
