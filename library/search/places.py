"""Where a sentence stands in the index: a number whose order is worth first, then newest visit first (pure).

A common word has a million places. Reading them from the highest down and stopping after a few hundred gives the ones
that are worth most without looking at the rest.
"""

CONFIRMED, ITEM, SAID, REJECTED = 3, 2, 1, 0
_VISIT_BITS, _SENTENCE_BITS = 24, 36
_VISIT_SHIFT = _SENTENCE_BITS
_WORTH_SHIFT = _SENTENCE_BITS + _VISIT_BITS
_SEGMENT_BITS = {CONFIRMED: 11, ITEM: 11, SAID: 8, REJECTED: 11}
"""Visits of a segment, as a power of two: there are ten times as many lines of talk as items."""
_HIGHEST = (1 << _WORTH_SHIFT + 2) - 1


def place_of(worth: int, visit_id: int, sentence_id: int) -> int:
    """The place, 62 bits: ``worth`` 0 to 3, up to 16 million visits, up to 68 thousand million sentences."""
    if not (0 <= worth <= 3 and 0 <= visit_id < 1 << _VISIT_BITS and 0 <= sentence_id < 1 << _SENTENCE_BITS):
        raise ValueError(f"no place for worth {worth}, visit {visit_id}, sentence {sentence_id}")
    return worth << _WORTH_SHIFT | visit_id << _VISIT_SHIFT | sentence_id


def row_of(place: int) -> int:
    """The row of FTS5 for a place, and the place of a row: FTS5 reads upwards much faster than downwards."""
    return _HIGHEST - place


def worth_of(place: int) -> int:
    """How much the sentence counts: CONFIRMED, ITEM, SAID or REJECTED."""
    return place >> _WORTH_SHIFT


def visit_of(place: int) -> int:
    """The visit in which it was said."""
    return place >> _VISIT_SHIFT & (1 << _VISIT_BITS) - 1


def lowest(worth: int) -> int:
    """The lowest place of that worth."""
    return worth << _WORTH_SHIFT


def segment_of(place: int) -> str:
    """The index term of the segment that a place lies in: 256 or 2048 visits of one worth. For PostgreSQL only."""
    worth = worth_of(place)
    return f"r_{worth}_{visit_of(place) >> _SEGMENT_BITS[worth]}"


def segments(worth: int, last_visit: int) -> list[str]:
    """The segments of one worth in a library of visits up to ``last_visit``, the newest first."""
    return [f"r_{worth}_{number}" for number in range(last_visit >> _SEGMENT_BITS[worth], -1, -1)]
