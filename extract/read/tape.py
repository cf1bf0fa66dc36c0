"""A stretch of tokens as one line of plain words, so that a rule can be a readable pattern."""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from spacy.tokens import Doc


@dataclass(frozen=True, slots=True)
class Tape:
    """Tokens from ``start`` on as lower-case words with single spaces, punctuation apart.

    "Don't touch it." is ``do n't touch it .``; ``offsets`` are the characters at which its tokens begin, and a match is
    told in tokens of the Doc.
    """

    start: int
    text: str
    offsets: tuple[int, ...]

    def spans(self, pattern: re.Pattern[str], group: int | str = 0) -> Iterator[tuple[int, int]]:
        """Each match of ``pattern`` as a token range (end exclusive); an empty group gives nothing."""
        for match in pattern.finditer(self.text):
            if match.group(group):
                yield self.token(match.start(group)), self.token(match.end(group) - 1) + 1

    def first(self, pattern: re.Pattern[str], group: int | str = 0) -> tuple[int, int] | None:
        """The first match as a token range, or None."""
        return next(self.spans(pattern, group), None)

    def token(self, offset: int) -> int:
        """The token of the Doc that the character at ``offset`` belongs to; a space belongs to the token before it."""
        return self.start + bisect_right(self.offsets, offset) - 1


def tape(doc: Doc, start: int, end: int) -> Tape:
    """The tape of tokens ``start`` to ``end`` (exclusive)."""
    words: list[str] = []
    offsets: list[int] = []
    at = 0
    for token in doc[start:end]:
        word = token.lower_.replace("\u2019", "'")
        offsets.append(at)
        words.append(word)
        at += len(word) + 1
    return Tape(start, " ".join(words), tuple(offsets))


def words_pattern(*alternatives: str) -> re.Pattern[str]:
    """A pattern that matches any of ``alternatives`` as whole words of a tape."""
    return re.compile(rf"(?<!\S)(?:{'|'.join(alternatives)})(?!\S)")
