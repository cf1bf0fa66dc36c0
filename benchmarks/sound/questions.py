"""Whether an open question of a draft leads a listener to the place of a mistake."""

from collections.abc import Sequence

from sound.timeline import Range
from vouchbook.models.draft import Draft

REACH_S = 2.0
"""Who listens to the words of a question hears this much before and behind it."""
_HAS_NO_PLACE = frozenset({"uncovered", "untold"})


def asked_ranges(draft: Draft, kinds: frozenset[str] = frozenset()) -> list[Range]:
    """Seconds of all questions that have a place, of ``kinds`` or of any; what nobody spoke of has no place."""
    ranges: list[Range] = []
    for question in draft.open_questions:
        if question.kind in _HAS_NO_PLACE or (kinds and question.kind not in kinds):
            continue
        ranges += question.ranges or ((question.start, question.end),)
    return ranges


def is_near(at: Range, ranges: Sequence[Range], reach_s: float = REACH_S) -> bool:
    """Whether ``at`` meets one of ``ranges`` or ends within ``reach_s`` of it."""
    return any(min(at[1], r[1]) - max(at[0], r[0]) >= -reach_s for r in ranges)


def by_chance(draft: Draft, ranges: Sequence[Range], reach_s: float = REACH_S) -> tuple[int, int]:
    """Of the words of the transcript, how many are near ``ranges``, and how many there are: what chance would cover."""
    words = draft.transcript.words
    return sum(is_near((w.start_s, w.end_s), ranges, reach_s) for w in words), len(words)
