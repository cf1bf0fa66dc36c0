"""What the recogniser gives for one window of sound, before anything is dropped from it."""

from typing import Final, Self

from vouchbook.extract.listen.windows import Span
from vouchbook.models.record import Record

FAILED_COMPRESSION_RATIO: Final = 2.4
FAILED_LOG_PROBABILITY: Final = -1.0
NO_SPEECH: Final = 0.6
"""Whisper's own limits for decoding that failed, and for sound without speech (Radford et al. 2022, section 4.5)."""


class HeardWord(Record):
    """One word with its seconds in the recording and the recogniser's probability, 0 to 1."""

    text: str
    start_s: float
    end_s: float
    probability: float

    def joined(self, following: "HeardWord") -> Self:
        """This word and ``following`` as one; as probable as the less probable of them."""
        return self.model_copy(
            update={
                "text": self.text + following.text,
                "end_s": max(self.end_s, following.end_s),
                "probability": min(self.probability, following.probability),
            }
        )


class HeardSegment(Record):
    """The words of one window with the recogniser's own signs of trouble.

    ``avg_logprob`` is the mean log probability of the tokens, ``no_speech_prob`` the probability of the token for "no
    speech", ``compression_ratio`` how well the text packs (loops pack well).
    """

    span: Span
    words: tuple[HeardWord, ...]
    avg_logprob: float
    no_speech_prob: float
    compression_ratio: float
