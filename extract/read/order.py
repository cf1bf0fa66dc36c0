"""Procedure order: what is told late and comes first is moved to where it belongs."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.naming import is_about, names
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_BEFORE_ALL = words_pattern(
    # "and before you do anything, chock it", "that's before all of it"
    r"(?:before|ahead of) (?:everything|anything(?: else)?|you do anything|you start|all (?:of )?(?:that|"
    r"it)|any of this starts|you even hit a button)"
)
_BEFORE_THAT = re.compile(
    # "before you do any of that, gloves on", "Oh, but before,"; not "before that panel comes out"
    r"(?<!\S)before(?: you| we| i| any of)?(?: do| did| start| touch| go near| go and do)?(?: any|"
    r" all| either)?(?: of)? (?:that|this|it|those|them|the lot|all that)(?:(?= (?:,|though|there|"
    r"you|run|you 're))|$)|(?:but|and|oh|ah|wait) before$"
)
_BEFORE = re.compile(r"(?<!\S)(?:before|ahead of)(?!\S)")
_REACH_LINES = 10
"""A thing named after "before" is looked for this many lines back, and only then further."""
_SAME_JOB_LINES, _JOB_LINES = 3, 12
"""Steps of one job stand at most this many lines apart, and the job began at most this many lines ago."""
_DRESSES = frozenset({"put on", "wear"})
"""Protective equipment goes on before the job, whatever "before" is about."""
_DEED_TAGS = frozenset({"VB", "VBP", "VBN", "VBZ"})
_PLAIN_DEEDS = frozenset("be have do get go come take put touch open".split())
"""Deeds that are in every job and name none."""


@dataclass(frozen=True, slots=True)
class _Move:
    """The steps that begin in tokens ``start`` to ``end`` go before step ``target`` (a place in the list)."""

    start: int
    end: int
    target: int


def in_procedure_order(talk: Talk, found: Sequence[Found]) -> list[Found]:
    """``found`` by time, with the steps that are told after what they must precede moved before it."""
    items = sorted(found, key=lambda f: (f.start, f.end))
    places = [n for n, f in enumerate(items) if f.kind == "step"]
    steps = [items[n] for n in places]
    target_of: dict[int, int] = {}
    for move in _moves(talk, steps):
        for place, step in zip(places, steps, strict=True):
            if move.start <= step.start < move.end and step.start > steps[move.target].start:
                target_of[place] = places[move.target]
    return _rearranged(items, target_of)


def _rearranged(items: Sequence[Found], target_of: Mapping[int, int]) -> list[Found]:
    """Puts each moved item before its target; those moved to one place keep their order."""
    before: dict[int, list[int]] = {}
    for place in sorted(target_of):
        before.setdefault(target_of[place], []).append(place)
    out: list[Found] = []

    def put(place: int) -> None:
        for first in before.get(place, ()):
            put(first)
        out.append(items[place])

    for place in range(len(items)):
        if place not in target_of:
            put(place)
    return out


def _moves(talk: Talk, steps: Sequence[Found]) -> Iterator[_Move]:
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.line in talk.askers:
            continue
        for clause in sentence.clauses:
            if _BEFORE.search(talk.tape(clause.start, clause.end).text):
                move = _move(talk, sentence, clause, steps)
                if move:
                    yield move


def _move(talk: Talk, sentence: Sentence, clause: Clause, steps: Sequence[Found]) -> _Move | None:
    """What "before …" in ``clause`` moves, and before which step; None when that cannot be told."""
    line = talk.sentences_of(sentence.line)
    line_start, line_end = line[0].start, line[-1].end
    earlier = [n for n, s in enumerate(steps) if s.start < line_start] or [
        n for n, s in enumerate(steps) if s.start < sentence.start
    ]
    own = [s for s in steps if sentence.start <= s.start < sentence.end]
    if not earlier or (not own and any(prohibition(talk.doc, c.body, c.end) for c in sentence.clauses)):
        return None  # "never open it before the valve is shut" moves nothing
    text = talk.tape(clause.start, clause.end).text
    if _BEFORE_ALL.search(text):
        return _Move(sentence.start, line_end, earlier[0])
    target = _named(talk, clause, steps, earlier)
    if target is not None:
        # "that's ahead of the wedges. Breaker off …": the deed stands in another sentence of the line
        return _Move(sentence.start, sentence.end, target) if own else _Move(line_start, line_end, target)
    if _BEFORE_THAT.search(text) or any(s.fields["action"] in _DRESSES for s in own):
        return _Move(sentence.start, line_end, _start_of_job(steps, earlier, sentence.line))
    return None


def _start_of_job(steps: Sequence[Found], earlier: Sequence[int], line: int) -> int:
    """The first step of the stretch of talk, without a gap of four lines, that leads up to ``line``."""
    first = earlier[-1]
    for n in reversed(earlier[:-1]):
        if steps[first].line - steps[n].line > _SAME_JOB_LINES or line - steps[n].line > _JOB_LINES:
            break
        first = n
    return first


def _named(talk: Talk, clause: Clause, steps: Sequence[Found], earlier: Sequence[int]) -> int | None:
    """The step that "before …" names by its thing or its deed: "before that panel comes out", "before you lift it".

    The earliest such step of the last lines, which is where that job begins; failing that the last one told before.
    """
    doc, end = talk.doc, clause.end
    at = next(i for i in range(clause.start, end) if doc[i].lower_ in {"before", "ahead"}) + 1
    deeds = {t.lemma_.lower() for t in doc[at:end] if t.tag_ in _DEED_TAGS} - _PLAIN_DEEDS
    named = names(talk, at, end)
    found = [n for n in earlier if any(is_about(steps[n], name) for name in named)]
    if not found:
        near = [n for n in earlier if clause.line - steps[n].line <= _REACH_LINES]
        found = [n for n in near if steps[n].fields["action"].split()[0] in deeds]
    near = [n for n in found if clause.line - steps[n].line <= _REACH_LINES]
    return near[0] if near else found[-1] if found else None
