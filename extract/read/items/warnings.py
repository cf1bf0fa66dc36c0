"""Warnings: a prohibition, a hazard, or both where they are told together."""

import re
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.hazards.judge import HazardWord, hazard_words, judge
from vouchbook.extract.read.hazards.reasons import reason_told
from vouchbook.extract.read.items.answered import Asked, act_of, forbidden_deed, is_limit
from vouchbook.extract.read.items.control_limits import REASON, limits
from vouchbook.extract.read.items.goes_wrong import tells_harm
from vouchbook.extract.read.items.likeness import is_alike
from vouchbook.extract.read.items.limits_told import act_forbidden, limit_behind
from vouchbook.extract.read.items.warning_hazards import hazards_told, prohibition_of, prohibitions
from vouchbook.extract.read.items.warning_runs import runs, with_reasons
from vouchbook.extract.read.phrases import text_of, told_span
from vouchbook.extract.read.scope import is_look_alike
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk

_ANSWER_ACT = 0.8
"""How plainly an answer forbids."""
_POINTS_BACK = re.compile(r"(?:do|open|touch|pull|put|use|cut|move|try|you)?(?: ?(?:it|that|this|them|one|those|not))*")
"""What is forbidden by a word for the thing that was asked about: "don't do that"."""
_LONGEST_TEXT = 30
"""Tokens; a longer stretch of clauses is cut to the one that tells most."""


def warnings(talk: Talk) -> Iterator[Found]:
    """The warnings of ``talk``: neighbouring sentences of one speaker that warn are one warning."""
    for line in range(len(talk.transcript.lines)):
        if line not in talk.chatter:
            yield from _of_line(talk, line)


def repeats(earlier: Found, later: Found) -> bool:
    """Whether ``later`` warns of the same in other words; what they forbid must be the same to the letter."""
    if earlier.fields["prohibits"] != later.fields["prohibits"]:
        return False
    return is_alike(earlier.fields["text"], later.fields["text"])


def _of_line(talk: Talk, line: int) -> Iterator[Found]:
    """The warnings of a line; where it opens by forbidding what was asked, the first is of that deed."""
    found = [_warning(talk, run) for run in runs(talk, line)]
    asked = forbidden_deed(talk, line)
    if asked is None:
        yield from found
        return
    said = with_reasons(talk, line, asked.answer_end)
    yield _answered(talk, asked, _warning(talk, said))
    yield from (each for each in found if each.start >= said[-1].end)


def _answered(talk: Talk, asked: Asked, found: Found) -> Found:
    """The warning of an answer, which forbids the deed of the question, with both as its words."""
    act, end = act_of(talk, asked), found.end
    own = [p for p in (found.fields["prohibits"] or "").split("; ") if p and not _POINTS_BACK.fullmatch(p.lower())]
    fields = {
        **found.fields,
        "text": f"{text_of(talk.doc, asked.verb, asked.end)}? {text_of(talk.doc, asked.answer.start, end)}",
        "prohibits": "; ".join([act, *(p for p in own if not is_limit(talk, asked, p))]),
    }
    reasons = ("the answer forbids what was asked", *found.reasons)
    also = (*found.also, (asked.question.start, asked.question.end))
    act_told = max(found.act, _ANSWER_ACT)
    return found.with_(start=asked.answer.start, end=end, fields=fields, act=act_told, reasons=reasons, also=also)


def _warning(talk: Talk, run: Sequence[Sentence]) -> Found:
    words = [w for sentence in run for w in hazards_told(talk, sentence)]
    forbidden = [p for sentence in run for p in prohibitions(talk, sentence)]
    is_named = any(w.hazard != "other" for w in words)
    judged = judge(words if is_named else [*words, *_told_beside(talk, run)])
    reasons = []
    if forbidden:
        reasons.append("said as what must not be done")
    if words:
        reasons.append(f"a hazard is told: {judged.hazard}")
    if any(is_look_alike(talk.doc, c.body, c.end) for s in run for c in s.clauses):
        reasons.append("it is not what it looks like")
    if any(True for s in run for _ in limits(talk, s)):
        reasons.append(REASON)
    if any(tells_harm(talk, s, c) for s in run for c in s.clauses):
        reasons.append("told for what goes wrong")
    fields = {
        "text": _text(talk, run, words), "hazard": judged.hazard, "signal": judged.signal,
        "signal_reason": reason_told(talk, judged.deciding, judged.hazard, judged.signal, (run[0].start, run[-1].end)),
        "prohibits": "; ".join(act_forbidden(talk, p) for p in forbidden) or None,
    }  # fmt: skip
    act = min(0.95, 0.6 + 0.2 * bool(forbidden) + 0.08 * sum(w.weight for w in words))
    return Found("warning", run[0].start, run[-1].end, run[0].line, fields, act, tuple(reasons))


def _told_beside(talk: Talk, run: Sequence[Sentence]) -> list[HazardWord]:
    """The hazards told in the same line or the one before, for a prohibition that gives no reason of its own."""
    around = [s for s in talk.sentences_of(run[0].line) if s not in run]
    before = talk.sentences_of(run[0].line - 1) if run[0].line else ()
    return [w for s in (*around, *before) for w in hazard_words(talk.tape(s.start, s.end))]


def _text(talk: Talk, run: Sequence[Sentence], words: Sequence[HazardWord]) -> str:
    """The clauses that tell the hazard; without any, the whole, or in a long one the clauses that forbid."""
    telling = [c for s in run for c in _telling(talk, s, words)]
    if not telling:
        if run[-1].end - run[0].start <= _LONGEST_TEXT:
            return with_volts(talk, run[0].start, run[-1].end)
        telling = [c for s in run for c in s.clauses if prohibition_of(talk, c)]
    if telling[-1].end - telling[0].start <= _LONGEST_TEXT:
        return with_volts(talk, telling[0].start, telling[-1].end)
    best = max(telling, key=lambda c: (sum(w.weight for w in words if c.start <= w.start < c.end), -c.start))
    return with_volts(talk, best.start, best.end)


def _telling(talk: Talk, sentence: Sentence, words: Sequence[HazardWord]) -> Iterator[Clause]:
    """The clauses that tell a hazard; of a deed told for what goes wrong both: what is done, and what comes of it."""
    before: Clause | None = None
    for clause in sentence.clauses:
        is_harm = tells_harm(talk, sentence, clause)
        is_outcome = before is not None and tells_harm(talk, sentence, before)
        if is_harm or is_outcome or any(clause.start <= w.start < clause.end for w in words):
            yield clause
            if (limit := limit_behind(talk, clause.end)) is not None:
                yield limit
        before = clause


def with_volts(talk: Talk, start: int, end: int) -> str:
    """The words with each voltage in figures, as the trade writes it: "four hundred volts" is "400 V"."""
    start, end = told_span(talk.doc, start, end)
    pieces, at = [], start
    for value in talk.values_in(start, end):
        first, last = talk.token_of(value.first), talk.token_of(value.last)
        if value.quantity.dimension != "voltage" or first is None or last is None:
            continue
        pieces += [text_of(talk.doc, at, first), value.quantity.normal]
        at = last + 1
        while at < end and talk.word(at) == value.last:
            at += 1
    pieces.append(text_of(talk.doc, at, end))
    return " ".join(piece for piece in pieces if piece)
