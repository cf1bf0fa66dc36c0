"""Stretches in which somebody may have spoken and nothing was understood."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.raised import Raised
from vouchbook.models.transcript import Transcript


def unheard(transcript: Transcript) -> Iterator[Raised]:
    """One question for each stretch that listening could not turn into words it trusts."""
    for stretch in transcript.unheard:
        length = round(stretch.end_s - stretch.start_s)
        yield Raised(
            "unheard",
            f"{length} s with {stretch.reason}",
            "Listen to this stretch: somebody may be speaking, and what they say may be a warning.",
            seconds=(stretch.start_s, stretch.end_s),
        )
