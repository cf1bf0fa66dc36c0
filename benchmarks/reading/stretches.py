"""Sentences of a transcript by its punctuation, for the plain readers."""

from collections.abc import Iterator

from reading.findings import Span
from vouchbook.models.transcript import Transcript

_LONG = 20
"""Words after which the end of a caption ends a sentence that nobody ended."""


def stretches(transcript: Transcript) -> Iterator[Span]:
    """First and last word of each sentence: up to a full stop, a question or exclamation mark, or a caption's end."""
    line_ends = {line.last_word for line in transcript.lines}
    first = 0
    for number, word in enumerate(transcript.words):
        is_late = number in line_ends and number - first >= _LONG
        if word.text[-1] in ".?!" or is_late or number == len(transcript.words) - 1:
            yield first, number
            first = number + 1
