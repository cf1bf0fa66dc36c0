"""Words into lines: a line ends where a sentence does, at a pause, or when it grows too long to read."""

from typing import Final

from vouchbook.extract.listen.heard import HeardWord

PAUSE_S: Final = 1.0
LONGEST_LINE_WORDS: Final = 28
_SENTENCE_END: Final = (".", "?", "!")


def line_starts(words: tuple[HeardWord, ...]) -> list[int]:
    """The index of the first word of each line, in order; empty without words."""
    starts: list[int] = []
    for index, word in enumerate(words):
        if not starts:
            starts.append(index)
            continue
        before = words[index - 1]
        ended = before.text.rstrip("\"')").endswith(_SENTENCE_END)
        paused = word.start_s - before.end_s >= PAUSE_S
        if ended or paused or index - starts[-1] >= LONGEST_LINE_WORDS or word.start_s < before.start_s:
            starts.append(index)
    return starts
