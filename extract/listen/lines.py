"""Words into lines: a line ends where a sentence does, at a pause, or when it grows too long to read."""

from typing import Final

from vouchbook.extract.listen.heard import HeardWord

PAUSE_S: Final = 1.0
LONGEST_LINE_WORDS: Final = 28
_SENTENCE_END: Final = (".", "?", "!")


def lines(words: tuple[HeardWord, ...]) -> list[tuple[HeardWord, ...]]:
    """``words`` line by line, in order; none without words."""
    found: list[list[HeardWord]] = []
    for word in words:
        if found and not _ends_before(found[-1], word):
            found[-1].append(word)
        else:
            found.append([word])
    return [tuple(line) for line in found]


def _ends_before(line: list[HeardWord], word: HeardWord) -> bool:
    last = line[-1]
    ended = last.text.rstrip("\"')").endswith(_SENTENCE_END)
    return ended or word.start_s - last.end_s >= PAUSE_S or len(line) >= LONGEST_LINE_WORDS
