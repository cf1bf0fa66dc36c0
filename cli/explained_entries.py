"""Which entries of a draft a person means: an id in any case, or a time of the recording."""

import re
from typing import TYPE_CHECKING

from vouchbook.models.clock import clock
from vouchbook.models.errors import DocumentError

if TYPE_CHECKING:
    from vouchbook.models.draft import Draft

_CLOCK = re.compile(r"(?:(?P<part>[1-9])/)?(?:(?P<hours>\d+):)?(?P<minutes>\d+):(?P<seconds>[0-5]\d)")
_SECONDS = re.compile(r"(?P<seconds>\d+(?:\.\d+)?) ?s")


def entries_named(draft: "Draft", named: str, name: str) -> list[str]:
    """The ids that ``named`` stands for: "I48" for i48; "12:31", "2/0:41" or "751s" for all that is said there.

    Raises:
        DocumentError: nothing in the draft, which errors call ``name``, rests on words said at that time.
    """
    seconds = _seconds(draft, named.strip())
    if seconds is None:
        return [named.strip().lower()]
    spans = [(entry.id, e.start_s, e.end_s) for entry in (*draft.items, *draft.open_questions) for e in entry.evidence]
    there = [entry for entry, start_s, end_s in spans if start_s < seconds + 1 and seconds <= end_s]
    if not there:
        nearest = min(spans, key=lambda span: min(abs(span[1] - seconds), abs(span[2] - seconds)), default=None)
        hint = f"The nearest is {nearest[0]} at {clock(nearest[1])}" if nearest else "Give another draft"
        raise DocumentError(name, f"nothing rests on words said at {named}", hint)
    return list(dict.fromkeys(there))


def _seconds(draft: "Draft", named: str) -> float | None:
    """The second of the whole visit that a time means; None for what is no time."""
    if match := _SECONDS.fullmatch(named):
        return float(match["seconds"])
    if (match := _CLOCK.fullmatch(named)) is None:
        return None
    within_s = int(match["hours"] or 0) * 3600 + int(match["minutes"]) * 60 + int(match["seconds"])
    part, sources = int(match["part"] or 1), draft.transcript.sources
    return within_s + (sources[part - 1].offset_s if 1 <= part <= len(sources) else 0.0)
