"""Words that were meant by a slip: indexed words that are spelled or sound nearly alike."""

from collections.abc import Sequence
from typing import NamedTuple
from weakref import WeakKeyDictionary

from rapidfuzz import process
from rapidfuzz.distance import DamerauLevenshtein
from sqlalchemy import Connection, Engine, text

from vouchbook.library.search.words import STOP_WORDS, sound_key

_MOST_WORDS = 200_000
_MOST_MEANT = 5
_SPELLED_ALIKE = 0.75
_SOUNDS_ALIKE = 0.5
_SHORTEST = 4
"""Three letters are one slip from hundreds of words."""


class _Known(NamedTuple):
    size: int
    by_length: dict[int, list[str]]


_known: "WeakKeyDictionary[Engine, _Known]" = WeakKeyDictionary()


def meant_by(connection: Connection, word: str) -> list[str]:
    """At most five indexed words that ``word`` may be a slip of, the likeliest first.

    Cost: one comparison with each indexed word of about that length, of the 200,000 most frequent; some milliseconds.
    """
    if len(word) < _SHORTEST or not word.isalpha():
        return []
    known = _words(connection)
    near = [other for length in range(len(word) - 2, len(word) + 3) for other in known.get(length, ())]
    scored: dict[str, float] = {
        other: score
        for other, score, _ in process.extract(
            word, near, scorer=DamerauLevenshtein.normalized_similarity, score_cutoff=_SPELLED_ALIKE, limit=_MOST_MEANT
        )
    }
    for other in _of_sound(connection, sound_key(word)):
        score = DamerauLevenshtein.normalized_similarity(word, other)
        if score >= _SOUNDS_ALIKE:
            scored[other] = score + 0.2  # heard alike and written nearly alike: more than a slip of one letter
    scored.pop(word, None)
    return sorted(scored.keys() - STOP_WORDS, key=lambda other: (-scored[other], other))[:_MOST_MEANT]


def _of_sound(connection: Connection, key: str) -> Sequence[str]:
    if len(key) < 2:
        return ()
    asked = text("SELECT term FROM search_term WHERE sound = :key AND sentences > 0 ORDER BY sentences DESC LIMIT 20")
    return connection.execute(asked, {"key": key}).scalars().all()


def _words(connection: Connection) -> dict[int, list[str]]:
    """The indexed words by length; read again when there is 1 % more or less of them."""
    count = connection.execute(text("SELECT count(*) FROM search_term")).scalar_one()
    known = _known.get(connection.engine)
    if known is None or abs(count - known.size) * 100 > known.size:
        asked = text(
            "SELECT term FROM search_term WHERE sound IS NOT NULL AND sentences > 0 ORDER BY sentences DESC LIMIT :most"
        )
        by_length: dict[int, list[str]] = {}
        for term in connection.execute(asked, {"most": _MOST_WORDS}).scalars():
            by_length.setdefault(len(term), []).append(term)
        known = _known[connection.engine] = _Known(count, by_length)
    return known.by_length
