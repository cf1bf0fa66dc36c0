"""The part of a sentence that is shown, and where the matches stand in it (pure)."""

from vouchbook.library.search.sizes import size_token, spots
from vouchbook.library.search.words import words_of
from vouchbook.models.record import Record

_MOST_CHARACTERS = 240


class Snippet(Record):
    """``text`` as it was said, cut where ``is_cut`` says; ``matches`` are ranges of characters in it (start, end)."""

    text: str
    matches: tuple[tuple[int, int], ...]
    is_cut_before: bool = False
    is_cut_after: bool = False


def snippet_of(said: str, positions: tuple[int, ...], tokens: frozenset[str]) -> Snippet:
    """The words at ``positions`` and the values of those index ``tokens`` in ``said``, with at most 240 characters."""
    words = words_of(said)
    ranges = [(words[position].start, words[position].end) for position in positions if position < len(words)]
    if tokens:
        ranges += [(spot.start, spot.end) for spot in spots(said) if size_token(spot.normal) in tokens]
    merged: list[tuple[int, int]] = []
    for start, end in sorted(set(ranges)):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    first, last = _window(said, merged[0][0] if merged else 0)
    inside = tuple((start - first, end - first) for start, end in merged if start >= first and end <= last)
    return Snippet(text=said[first:last], matches=inside, is_cut_before=first > 0, is_cut_after=last < len(said))


def _window(said: str, match: int) -> tuple[int, int]:
    if len(said) <= _MOST_CHARACTERS:
        return 0, len(said)
    first = max(0, min(match - _MOST_CHARACTERS // 3, len(said) - _MOST_CHARACTERS))
    if first and (space := said.find(" ", first, match)) >= 0:
        first = space + 1
    last = min(len(said), first + _MOST_CHARACTERS)
    if last < len(said) and (space := said.rfind(" ", match + 1, last)) > match:
        last = space
    return first, last
