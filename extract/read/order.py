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
from vouchbook.extract.read.things import PRONOUNS

_BEFORE_ALL = words_pattern(
    r"(?:before|ahead of) (?:everything|anything(?: else)?|you do anything|you start|all (?:of )?(?:that|"
    r"it)|any of this starts|you even hit a button)"
)
_BEFORE_THAT = re.compile(
    r"(?<!\S)before(?: you| we| i| any of)?(?: do| did| start| touch| go near| go and do)?(?: any|"
    r" all| either)?(?: of)? (?:that|this|it|those|them|the lot|all that)(?:(?= (?:,|though|there|"
    r"you|run|you 're))|$)|(?:but|and|oh|ah|wait) before$"
)
_BEFORE = re.compile(r"(?<!\S)(?:before|ahead of)(?!\S)")
_CLOSE_ENOUGH = 78
_REACH_LINES = 10
"""A thing named after "before" is looked for this many lines back, and only then further."""


@dataclass(frozen=True, slots=True)
class _Move:
    """The steps that begin in tokens ``start`` to ``end`` go before step ``target`` (a place in the list)."""

    start: int
    end: int
    target: int


def in_procedure_order(talk: Talk, found: Sequence[Found]) -> list[Found]:
    """``found`` by time, with the steps that are told after what they must precede moved before it."""
    items = sorted(found, key=lambda f: (f.start, f.end))
    steps = [f for f in items if f.kind == "step"]
    moved: dict[int, int] = {}
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.line in talk.askers:
            continue
        for clause in sentence.clauses:
            move = _move(talk, sentence, clause, steps)
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


def _move(talk: Talk, sentence: Sentence, clause: Clause, steps: Sequence[Found]) -> _Move | None:
    line = talk.tape(clause.start, clause.end).text
    if not _BEFORE.search(line):
        return None
    line_start = talk.sentences_of(sentence.line)[0].start
    earlier = [n for n, s in enumerate(steps) if s.start < line_start] or [
        n for n, s in enumerate(steps) if s.start < sentence.start
    ]
    if not earlier:
        return None
    rest_of_line = talk.sentences_of(sentence.line)[-1].end
    if _BEFORE_ALL.search(line):
        return _Move(sentence.start, rest_of_line, earlier[0])
    target = _named(talk, clause, steps, earlier)
    own = [s for s in steps if sentence.start <= s.start < sentence.end]
    if target is None and (_BEFORE_THAT.search(line) or any(s.fields["action"] in {"put on", "wear"} for s in own)):
        return _Move(sentence.start, rest_of_line, _start_of_job(steps, earlier, sentence.line))
    if target is None:
        return None
    if own:
        return _Move(sentence.start, sentence.end, target)
    # "that's ahead of the chocks. Breaker off …": the deed stands in another sentence of the line
    return _Move(talk.sentences_of(sentence.line)[0].start, rest_of_line, target)


def _start_of_job(steps: Sequence[Found], earlier: Sequence[int], line: int) -> int:
    """The first step of the stretch of talk, without a gap of four lines, that leads up to ``line``."""
    first = earlier[-1]
    for n in reversed(earlier[:-1]):
        if steps[first].line - steps[n].line > 3 or line - steps[n].line > 12:
            break
        first = n
    return first


def _named(talk: Talk, clause: Clause, steps: Sequence[Found], earlier: Sequence[int]) -> int | None:
    """The step that "before …" names by its thing or its deed: "before that cover comes out", "before you lift it".

    The earliest such step of the last lines, which is where that job begins; failing that the last one told before.
    """
    doc = talk.doc
    start = next(i for i in range(clause.start, clause.end) if doc[i].lower_ in {"before", "ahead"})
    names: list[str] = []
    at = start + 1
    while at < clause.end:
        stop = noun_phrase(doc, at, clause.end)
        if stop > at:
            names.append(re.sub(r"^(?:any|all|both) ", "", thing(doc, at, stop).lower()))
        at = max(stop, at + 1)
    deeds = {
        t.lemma_.lower() for t in doc[start + 1 : clause.end] if t.tag_ in {"VB", "VBP", "VBN", "VBZ"}
    } - _PLAIN_DEEDS
    line = clause.line
    found = [n for n in earlier if any(_is_about(steps[n], name) for name in names)]
    found = found or [
        n for n in earlier if line - steps[n].line <= _REACH_LINES and steps[n].fields["action"].split()[0] in deeds
    ]
    near = [n for n in found if line - steps[n].line <= _REACH_LINES]
    return near[0] if near else found[-1] if found else None


_PLAIN_DEEDS = frozenset(["be", "have", "do", "get", "go", "come", "take", "put", "touch", "open"])


def _is_about(step: Found, name: str) -> bool:
    told = f"{step.fields['action']} {step.fields['object']} {step.fields.get('tool') or ''}".lower()
    return len(name) > 2 and name not in PRONOUNS and fuzz.token_set_ratio(name, told) >= _CLOSE_ENOUGH
