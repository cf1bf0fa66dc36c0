"""Words to windows of word pieces: what the network is fed, with enough of the talk around each word."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

LONGEST = 256
"""Word pieces in one window; the network was trained on windows of this length."""
_OVERLAP = 64
"""Words that two neighbouring windows share, so that each word is read well inside one of them."""
_MOST_PIECES = 8
"""Word pieces of one word; the rest of a longer one tells nothing."""
UNKNOWN, OPENS, CLOSES = 100, 101, 102
"""The vocabulary's numbers for a word it cannot spell, for the begin and the end of a window."""
_TELLS, _ASKS = 1, 2
"""Unused entries of the vocabulary that open a line: of somebody who tells, of the one who asks."""


@dataclass(frozen=True, slots=True)
class Words:
    """The tokens of a talk: their word pieces, the line of each, and whether that is a line of the one who asks."""

    pieces: tuple[tuple[int, ...], ...]
    lines: tuple[int, ...]
    asks: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """``ids`` are word pieces; token ``tokens[n]`` begins at piece ``firsts[n]``."""

    ids: tuple[int, ...]
    firsts: tuple[int, ...]
    tokens: tuple[int, ...]

    def depth(self, place: int, total: int) -> int:
        """How far inside the window its token number ``place`` stands; an end of the talk (``total`` tokens) is far."""
        before = place if self.tokens[0] > 0 else total
        behind = len(self.tokens) - 1 - place if self.tokens[-1] < total - 1 else total
        return min(before, behind)


def pieces_of(spelled: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
    """The word pieces of each word as the network takes them: at least one, and not too many."""
    return tuple(tuple(ids[:_MOST_PIECES]) or (UNKNOWN,) for ids in spelled)


def windows(words: Words) -> Iterator[Window]:
    """Windows over all of ``words``, each sharing some with the one before."""
    start, total = 0, len(words.pieces)
    while start < total:
        window = window_from(words, start)
        yield window
        end = window.tokens[-1] + 1
        if end >= total:
            return
        start = max(start + 1, end - min(_OVERLAP, len(window.tokens) // 2))


def window_from(words: Words, start: int) -> Window:
    """The window whose first token is ``start``."""
    ids, firsts, tokens = [OPENS], [], []
    for token in range(start, len(words.pieces)):
        is_new_line = token == start or words.lines[token] != words.lines[token - 1]
        opener = [_ASKS if words.asks[token] else _TELLS] if is_new_line else []
        if len(ids) + len(opener) + len(words.pieces[token]) >= LONGEST:
            break
        ids += opener
        firsts.append(len(ids))
        tokens.append(token)
        ids += words.pieces[token]
    return Window((*ids, CLOSES), tuple(firsts), tuple(tokens))
