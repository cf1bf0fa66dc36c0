"""Tools, warnings and signs that the tagger marks."""

from collections.abc import Iterator, Mapping

from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.hazards.judge import HazardWord, hazard_words
from vouchbook.extract.read.hazards.reasons import reason_marked
from vouchbook.extract.read.items.limits_told import act_forbidden
from vouchbook.extract.read.items.warning_hazards import prohibition_of
from vouchbook.extract.read.items.warnings import with_volts
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.steps import whole_clauses
from vouchbook.extract.read.marked.stretches import Stretch, runs, stretches
from vouchbook.extract.read.marked.wholes import whole_things
from vouchbook.extract.read.phrases import text_of, thing, told_span
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks

_CONDITIONS = frozenset({"if", "unless", "when", "once", "until", "before"})
_TOOL = 0.4
_HAZARD = 0.7
"""Share from which a hazard is named; a guess at one would tell what nobody said."""
_BEFORE, _BEHIND = 3, 2
"""Tokens before a tool and behind it in which its size may stand: "ten mil socket", "socket, ten"."""
_WARNING, _CUE = 0.25, 0.2
"""Mean probability of the words of a clause from which it is part of a warning, or of a sign."""


def marked_tools(talk: Talk, marks: Marks, by_rules: Mapping[int, Said]) -> Iterator[Candidate]:
    """Tools by their name or size; ``by_rules`` are the sizes that the rules found, by their first token."""
    name, size = marks.column("tool", "B-name", "I-name"), marks.column("tool", "B-size", "I-size")
    for stretch in stretches(talk, name + size, marks.column("tool", "B-name", "B-size"), _TOOL):
        words = slice(stretch.start, stretch.end)
        yield _tool(talk, stretch, by_rules, is_size=bool(size[words].sum() > name[words].sum()))


def _tool(talk: Talk, stretch: Stretch, by_rules: Mapping[int, Said], *, is_size: bool) -> Candidate:
    start, end = whole_clauses(talk, stretch.start, stretch.end)
    inside = range(stretch.start, stretch.end)
    before = reversed(range(max(0, stretch.start - _BEFORE), stretch.start))
    behind = range(stretch.end, min(len(talk.doc), stretch.end + _BEHIND))
    said = next((by_rules[token] for token in (*inside, *before, *behind) if token in by_rules), None)
    name = "socket" if is_size else _name(talk, stretch)
    reasons = ["read as a tool for the job"]
    if is_size:
        reasons.append("the tool is implied by the size, nobody named it")
    fields = {"name": name, "fastener": None, "implied": is_size}
    found = Found("tool", start, end, talk.line_at(start), fields, stretch.score, tuple(reasons), size=said)
    return Candidate(found, "tagger", stretch.score, stretch.start)


def _name(talk: Talk, stretch: Stretch) -> str:
    """The tool as a whole phrase, without the size that is said before it: "ten mil socket" is "socket"."""
    spans = whole_things(talk, stretch.start, stretch.end)
    if not spans:
        return ""
    start, end = spans[0]
    for value in talk.values_in(max(0, start - _BEFORE), end):
        last = talk.token_of(value.last)
        if last is not None and start <= last < end - 1:
            start = last + 1
            while start < end - 1 and talk.word(start) == value.last:
                start += 1
    return thing(talk.doc, start, end)


def marked_warnings(talk: Talk, marks: Marks) -> Iterator[Candidate]:
    """Warnings: clauses in a row that warn."""
    for run in runs(talk, marks.any("warning"), marks.column("warning", "B-"), _WARNING):
        if not _is_condition_alone(talk, run):
            yield Candidate(_warning(talk, marks, run), "tagger", run.score, run.start)


def _is_condition_alone(talk: Talk, run: Stretch) -> bool:
    """Whether the words only say when: "unless there's a fire", of which the rest of the sentence warns of nothing."""
    first = talk.clause_at(run.start)
    is_condition = first is not None and first.marker in _CONDITIONS and run.end <= first.end + 1
    return is_condition and any(not t.is_punct for t in talk.doc[run.end : talk.doc[run.start].sent.end])


def _warning(talk: Talk, marks: Marks, run: Stretch) -> Found:
    clauses = {c.start: c for t in range(run.start, run.end) if (c := talk.clause_at(t))}.values()
    forbidden = [p for clause in clauses if (p := prohibition_of(talk, clause))]
    hazard, share = marks.best("hazard", run.start, run.end)
    if share < _HAZARD:
        hazard = "other"
    signal, sure = marks.best("signal", run.start, run.end)
    fields = {
        "text": with_volts(talk, _body(talk, run), run.end), "hazard": hazard, "signal": signal,
        "signal_reason": reason_marked(talk, _harm_told(talk, run, signal), signal, sure),
        "prohibits": "; ".join(act_forbidden(talk, p) for p in forbidden) or None,
    }  # fmt: skip
    reasons = ["read as a warning"]
    if forbidden:
        reasons.append("said as what must not be done")
    return Found("warning", run.start, run.end, talk.line_at(run.start), fields, run.score, tuple(reasons))


def _harm_told(talk: Talk, run: Stretch, signal: str) -> list[HazardWord]:
    """The words of the run that tell harm of that signal word by the rules too."""
    return [word for word in hazard_words(talk.tape(run.start, run.end)) if word.signal == signal]


def marked_cues(talk: Talk, marks: Marks) -> Iterator[Candidate]:
    """Signs: clauses in a row that tell how a thing or its state is recognised."""
    for run in runs(talk, marks.any("cue"), marks.column("cue", "B-"), _CUE):
        fields = {"text": text_of(talk.doc, *told_span(talk.doc, _body(talk, run), run.end))}
        reasons = ("read as how to recognise it",)
        found = Found("cue", run.start, run.end, talk.line_at(run.start), fields, run.score, reasons)
        yield Candidate(found, "tagger", run.score, run.start)


def _body(talk: Talk, run: Stretch) -> int:
    """Where the run comes to its point, behind "and", "so" and the like; a condition is part of it."""
    clause = talk.clause_at(run.start)
    return run.start if clause is None or clause.marker else min(clause.body, run.end - 1)
