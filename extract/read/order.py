"""Procedure order: what is told late and comes first is moved to where it belongs."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import noun_phrase, thing
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.models.phases import Phase

_BEFORE_ALL = words_pattern(
    r"before (?:everything|anything|you do anything|you start|all (?:that|of that|else)|any of this starts)", r"(?:very )?first thing(?: of all)?(?: you do)?", r"first of all"
)
_BEFORE_THAT = words_pattern(r"before (?:you |we |i |any of )?(?:do |did |start |touch |go near |go and do )?(?:any|all|either)? ?(?:of )?(?:that|this|it|those|them|the lot|all that)(?: though)?")
_BEFORE = words_pattern(r"before")
_CLOSE_ENOUGH = 78


@dataclass(frozen=True, slots=True)
class _Move:
    """The steps that begin in tokens ``start`` to ``end`` go before step ``target`` (a place in the list)."""

    start: int
    end: int
    target: int


def in_procedure_order(talk: Talk, found: Sequence[Found], topics: Sequence[Phase]) -> list[Found]:
    """``found`` by time, with the steps that are told after what they must precede moved before it."""
    items = sorted(found, key=lambda f: (f.start, f.end))
    steps = [f for f in items if f.kind == "step"]
    moved: dict[int, int] = {}
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.line in talk.askers:
            continue
        for clause in sentence.clauses:
            move = _move(talk, sentence, clause, steps, topics)
            if move is None:
                continue
            for step in steps:
                if move.start <= step.start < move.end and step.start > steps[move.target].start:
                    moved[id(step)] = id(steps[move.target])
    return _rearranged(items, moved)


def _rearranged(items: list[Found], moved: dict[int, int]) -> list[Found]:
    """Takes each moved step out and puts it before its target; steps moved to one place keep their order."""
    staying = [f for f in items if id(f) not in moved]
    by_target: dict[int, list[Found]] = {}
    for f in items:
        if id(f) in moved:
            by_target.setdefault(moved[id(f)], []).append(f)
    out: list[Found] = []

    def put(f: Found) -> None:
        for first in by_target.pop(id(f), []):
            put(first)
        out.append(f)

    for f in staying:
        put(f)
    return out


def _move(talk: Talk, sentence: Sentence, clause: Clause, steps: Sequence[Found], topics: Sequence[Phase]) -> _Move | None:
    line = talk.tape(clause.start, clause.end).text
    if not _BEFORE.search(line) and not _BEFORE_ALL.search(line):
        return None
    earlier = [n for n, s in enumerate(steps) if s.start < sentence.start]
    if not earlier:
        return None
    rest_of_line = talk.sentences_of(sentence.line)[-1].end
    if _BEFORE_ALL.search(line):
        return _Move(sentence.start, rest_of_line, earlier[0])
    if _BEFORE_THAT.search(line):
        return _Move(sentence.start, rest_of_line, _start_of_job(steps, earlier, sentence.line, topics))
    target = _named(talk, clause, steps, earlier)
    return None if target is None else _Move(sentence.start, sentence.end, target)


def _start_of_job(steps: Sequence[Found], earlier: Sequence[int], line: int, topics: Sequence[Phase]) -> int:
    """The first step of the stretch of talk, on one topic and without a gap of five lines, that leads up to ``line``."""
    first = earlier[-1]
    for n in reversed(earlier[:-1]):
        same = topics[steps[n].line] == topics[steps[first].line] or {topics[steps[n].line], topics[steps[first].line]} == {Phase.ACCESS, Phase.DISABLE}
        if not same or steps[first].line - steps[n].line > 4 or line - steps[n].line > 12:
            break
        first = n
    return first


def _named(talk: Talk, clause: Clause, steps: Sequence[Found], earlier: Sequence[int]) -> int | None:
    """The earliest step told before about the thing that "before …" names: "before that cover comes out"."""
    doc = talk.doc
    start = next((i for i in range(clause.start, clause.end) if doc[i].lower_ == "before"), None)
    if start is None:
        return None
    names: list[str] = []
    at = start + 1
    while at < clause.end:
        stop = noun_phrase(doc, at, clause.end)
        if stop > at:
            names.append(re.sub(r"^(?:any|all|both) ", "", thing(doc, at, stop).lower()))
        at = max(stop, at + 1)
    for name in names:
        for n in earlier:
            if name and fuzz.token_set_ratio(name, f"{steps[n].fields['object']} {steps[n].fields.get('tool') or ''}".lower()) >= _CLOSE_ENOUGH:
                return n
    return None
