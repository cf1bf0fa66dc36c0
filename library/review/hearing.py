"""Heard before vouched: which seconds of the visit a person has listened to."""

from collections.abc import Iterable

from vouchbook.models.decisions import Play
from vouchbook.models.transcript import Source

_SLACK_S = 0.5
"""A player reports its seconds late and rounded; half a second is about one word. Our choice, no source."""

Range = tuple[float, float]


def heard_by(person: int, plays: Iterable[Play], sources: Iterable[Source]) -> tuple[Range, ...]:
    """The ranges that ``person`` listened to, in seconds of the visit's clock, joined and in order.

    A play of a recording that is none of ``sources`` counts nothing.
    """
    offsets = {source.sha256: source.offset_s for source in sources if source.kind == "recording"}
    return joined(
        (play.start_s + offsets[play.sha256], play.end_s + offsets[play.sha256])
        for play in plays
        if play.by == person and play.sha256 in offsets
    )


def joined(ranges: Iterable[Range]) -> tuple[Range, ...]:
    """The same seconds in as few ranges as possible, in order."""
    out: list[Range] = []
    for start_s, end_s in sorted(ranges):
        if out and start_s <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], end_s))
        else:
            out.append((start_s, end_s))
    return tuple(out)


def unheard_of(start_s: float, end_s: float, heard: Iterable[Range]) -> tuple[Range, ...]:
    """The parts of ``start_s`` to ``end_s`` that no range of ``heard`` covers.

    Half a second at either end and gaps of half a second count as heard; of a shorter range at least half must be.
    """
    slack_s = min(_SLACK_S, (end_s - start_s) / 4)
    gaps: list[Range] = []
    at = start_s
    for one, other in joined(heard):
        if other <= at:
            continue
        if one >= end_s:
            break
        if one > at:
            gaps.append((at, one))
        at = max(at, other)
    if at < end_s:
        gaps.append((at, end_s))
    if sum(b - a for a, b in gaps) > (end_s - start_s) / 2:
        return tuple(gaps)
    return tuple((a, b) for a, b in gaps if b - a > slack_s)
