"""Warnings: a prohibition, a hazard, or both where they are told together."""

from collections.abc import Iterator

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.hazards import HazardWord, hazard_words, judge
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import Prohibition, is_look_alike, prohibition
from vouchbook.extract.read.talk import Sentence, Talk

_ENOUGH = 2
"""Hazard weight that makes a warning without a prohibition."""
_LONGEST_QUOTE = 45
"""Words; a longer quote says less than its parts."""


def warnings(talk: Talk) -> Iterator[Found]:
    """The warnings of ``talk``: neighbouring sentences of one speaker that warn are one warning."""
    for line in range(len(talk.transcript.lines)):
        if line in talk.chatter:
            continue
        run: list[Sentence] = []
        for sentence in talk.sentences_of(line):
            if _warns(talk, sentence):
                if run and (run[-1].number + 1 != sentence.number or _words(talk, run[0].start, sentence.end) > _LONGEST_QUOTE):
                    yield _warning(talk, run)
                    run = []
                run.append(sentence)
        if run:
            yield _warning(talk, run)


def _warns(talk: Talk, sentence: Sentence) -> bool:
    if sentence.asks:
        return False
    forbids = any(_prohibitions(talk, sentence))
    if sentence.line in talk.askers:
        return forbids and sum(w.weight for w in _hazards(talk, sentence)) >= _ENOUGH
    return forbids or sum(w.weight for w in _hazards(talk, sentence)) >= _ENOUGH


def _prohibitions(talk: Talk, sentence: Sentence) -> Iterator[Prohibition]:
    for clause in sentence.clauses:
        if (found := prohibition(talk.doc, clause.body, clause.end)) is not None:
            yield found


def _hazards(talk: Talk, sentence: Sentence) -> tuple[HazardWord, ...]:
    own = hazard_words(talk.tape(sentence.start, sentence.end))
    seen: list[HazardWord] = []
    for word in own:
        if all(word.start >= other.end or word.end <= other.start or word.weight > other.weight for other in seen):
            seen.append(word)
    return tuple(seen)


def _words(talk: Talk, start: int, end: int) -> int:
    return talk.word(end - 1) - talk.word(start) + 1


def _warning(talk: Talk, run: list[Sentence]) -> Found:
    doc = talk.doc
    words = [w for sentence in run for w in _hazards(talk, sentence)]
    near = _neighbourhood(talk, run)
    hazard, signal = judge(words if any(w.hazard != "other" for w in words) else [*words, *near])
    forbidden = [(s, p) for s in run for p in _prohibitions(talk, s)]
    prohibits = "; ".join(_prohibited(talk, p) for _, p in forbidden) or None
    start, end = run[0].start, run[-1].end
    reasons = []
    if forbidden:
        reasons.append("said as what must not be done")
    if words:
        reasons.append(f"a hazard is told: {hazard}")
    if any(is_look_alike(doc, c.body, c.end) for s in run for c in s.clauses):
        reasons.append("it is not what it looks like")
    act = min(0.95, 0.6 + 0.2 * bool(forbidden) + 0.08 * sum(w.weight for w in words))
    fields = {"text": text_of(doc, start, end), "hazard": hazard, "signal": signal, "prohibits": prohibits}
    return Found("warning", start, end, run[0].line, fields, act, tuple(reasons))


def _neighbourhood(talk: Talk, run: list[Sentence]) -> list[HazardWord]:
    """The hazards told right beside a prohibition that gives no reason of its own."""
    around = [s for s in talk.sentences_of(run[0].line) if s not in run]
    before = talk.sentences_of(run[0].line - 1) if run[0].line else ()
    return [w for s in (*around, *before) for w in hazard_words(talk.tape(s.start, s.end))]


def _prohibited(talk: Talk, found: Prohibition) -> str:
    return text_of(talk.doc, found.start, found.end)
