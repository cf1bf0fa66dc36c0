"""Locations that the tagger marks: a part and the place that is told for it."""

import re
from collections.abc import Iterator

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.location_context import CREW
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.steps import whole_clauses
from vouchbook.extract.read.marked.stretches import Stretch, stretches
from vouchbook.extract.read.marked.whole_places import whole_place
from vouchbook.extract.read.marked.wholes import joined, whole_things
from vouchbook.extract.read.phrases import text_of, thing
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import Things
from vouchbook.extract.tagger.marks import Marks

_LEAST = 0.35
"""Probability from which a token is part of a part or a place."""
_LEAST_ALONE, _ALONE_WEIGHS = 0.6, 0.7
"""A place whose part was named before has to be marked firmly, and weighs less."""
_FURTHEST = 40
"""Tokens between a part and its place."""
_LEFT_COSTS = 3
_NO_PLACE = re.compile(r"(?:down )?(?:at|in|on) the (?:feet|hands?|fingers?)")
""" "At the feet" is where somebody stands; "down by his knee" is a place of the cab."""
_CARRIES_ON = 3
"""Tokens between a place and more of it: "in the boot, on the left"."""


def marked_locations(talk: Talk, marks: Marks, things: Things) -> Iterator[Candidate]:
    """The locations in the order of their parts, then those of parts that were named before."""
    parts = list(_marked(talk, marks, "part"))
    places = [whole for place in _marked(talk, marks, "place") if (whole := _whole(talk, place))]
    used: set[Stretch] = set()
    for part in parts:
        near = [p for p in places if p not in used and _is_near(talk, part, p)]
        if near:
            place = min(near, key=lambda p: _distance(part, p))
            told = [place, *_more(talk, place, places, parts, used)]
            used.update(told)
            candidate = _location(talk, things, part, told)
            if candidate and _is_of_machine(candidate):
                yield candidate
    for place in places:
        if place in used or place.score < _LEAST_ALONE:
            continue
        meant = things.before(place.start)
        if meant:
            span = Stretch(meant.start, meant.end, 0.0)
            text = text_of(talk.doc, place.start, place.end)
            candidate = _candidate(talk, span, (place.start, place.end), text, place.score * _ALONE_WEIGHS)
            if _is_of_machine(candidate):
                yield candidate


def _is_of_machine(candidate: Candidate) -> bool:
    """Whether a component is told at a place of the machine: not the crew, nor "at the feet"."""
    part, place = (candidate.found.fields[name].lower() for name in ("part", "place"))
    return bool(part) and part.split()[-1].strip(",") not in CREW and not _NO_PLACE.fullmatch(place)


def _marked(talk: Talk, marks: Marks, what: str) -> Iterator[Stretch]:
    opens = marks.column("location", f"B-{what}")
    return stretches(talk, opens + marks.column("location", f"I-{what}"), opens, _LEAST)


def _whole(talk: Talk, place: Stretch) -> Stretch | None:
    """The place as a whole phrase, or None where the marked words make none."""
    span = whole_place(talk, place.start, place.end)
    return Stretch(*span, place.score) if span else None


def _is_near(talk: Talk, part: Stretch, place: Stretch) -> bool:
    return talk.line_at(part.start) == talk.line_at(place.start) and abs(place.start - part.start) < _FURTHEST


def _distance(part: Stretch, place: Stretch) -> int:
    return place.start - part.end if place.start >= part.end else part.start - place.end + _LEFT_COSTS


def _more(
    talk: Talk, place: Stretch, places: list[Stretch], parts: list[Stretch], used: set[Stretch]
) -> Iterator[Stretch]:
    """The stretches right behind ``place`` that carry it on."""
    end = place.end
    for other in places:
        is_next = 0 <= other.start - end <= _CARRIES_ON and other not in used
        is_free = other != place and not any(end <= part.start < other.start for part in parts)
        if is_next and is_free and talk.doc[other.start].sent.start == talk.doc[place.start].sent.start:
            yield other
            end = other.end


def _location(talk: Talk, things: Things, part: Stretch, told: list[Stretch]) -> Candidate | None:
    text = " ".join(text_of(talk.doc, each.start, each.end) for each in told)
    sure = (part.score + told[0].score) / 2
    spans = whole_things(talk, part.start, part.end)
    if not spans:  # "two in the roof", "it's under there"
        meant = things.before(part.start)
        return (
            _candidate(talk, Stretch(meant.start, meant.end, 0.0), (told[0].start, told[-1].end), text, sure)
            if meant
            else None
        )
    spans = [span for span in spans if talk.doc[span[1] - 1].lower_ not in CREW]
    if not spans:
        return None
    spans = joined(talk.doc, spans[1:], spans[0])
    part = part._replace(start=spans[0][0], end=spans[-1][1])
    return _candidate(talk, part, (told[0].start, told[-1].end), text, sure)


def _candidate(talk: Talk, part: Stretch, place: tuple[int, int], text: str, sure: float) -> Candidate:
    is_elsewhere = part.score == 0
    first = place[0] if is_elsewhere else min(part.start, place[0])
    start, end = whole_clauses(talk, first, place[1] if is_elsewhere else max(part.end, place[1]))
    fields = {"part": thing(talk.doc, part.start, part.end), "place": text}
    reasons = ["read as where a part is"]
    also: tuple[tuple[int, int], ...] = ()
    if is_elsewhere and not start <= part.start < end:
        reasons.append("the part was named before")
        also = ((part.start, part.end),)
    found = Found("location", start, end, talk.line_at(start), fields, sure, tuple(reasons), also=also)
    return Candidate(found, "tagger", sure, part.start if not is_elsewhere else place[0])
