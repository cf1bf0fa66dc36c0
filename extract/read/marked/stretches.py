"""Stretches of tokens and runs of clauses that the tagger marks alike."""

from collections.abc import Iterator, Set
from typing import NamedTuple

from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Column

_FEWEST_WORDS = 3
"""Words that a warning or a sign has at least."""
_OPENING = 3
"""Tokens at the begin of a clause in which a new stretch may open."""
_SPLIT, _SPLIT_INSIDE = 0.35, 0.55
"""Probability from which a new stretch opens at a sentence, and at a clause inside one."""


class Stretch(NamedTuple):
    """Tokens ``start`` to ``end`` (exclusive), marked with the mean probability ``score``."""

    start: int
    end: int
    score: float


def is_word(talk: Talk, token: int) -> bool:
    """Whether a token is more than punctuation."""
    return any(character.isalnum() for character in talk.doc[token].text)


def stretches(
    talk: Talk, inside: Column, opens: Column, least: float, taken: Set[int] = frozenset()
) -> Iterator[Stretch]:
    """Tokens of one sentence in a row with ``inside`` at ``least``; where ``opens`` is over a half a new one begins."""
    doc, at, total = talk.doc, 0, len(talk.doc)
    while at < total:
        if inside[at] < least or at in taken:
            at += 1
            continue
        end = at + 1
        while end < total and inside[end] >= least and end not in taken and opens[end] <= 0.5:
            if doc[end].is_sent_start:
                break
            end += 1
        if any(is_word(talk, token) for token in range(at, end)):
            yield Stretch(at, end, float(inside[at:end].mean()))
        at = end


def runs(talk: Talk, inside: Column, opens: Column, least: float) -> list[Stretch]:
    """Neighbouring clauses of one line whose words are ``inside`` by ``least`` in the mean, as one stretch each."""
    found: list[Stretch] = []
    goes_on = False
    for sentence in talk.sentences:
        for clause in sentence.clauses:
            score = _mean(talk, clause, inside)
            if score < least:
                goes_on = False
                continue
            last = found[-1] if goes_on and found else None
            if last and _belongs(talk, last, clause, opens):
                words, more = last.end - last.start, clause.end - clause.start
                found[-1] = Stretch(last.start, clause.end, (last.score * words + score * more) / (words + more))
            else:
                found.append(Stretch(clause.start, clause.end, score))
            goes_on = True
    return [s for s in found if sum(is_word(talk, token) for token in range(s.start, s.end)) >= _FEWEST_WORDS]


def _mean(talk: Talk, clause: Clause, inside: Column) -> float:
    words = [token for token in range(clause.start, clause.end) if is_word(talk, token)] or [clause.start]
    return float(inside[words].mean())


def _belongs(talk: Talk, last: Stretch, clause: Clause, opens: Column) -> bool:
    """Whether ``clause`` carries ``last`` on: in the same line, and nothing new opens there."""
    if talk.line_at(last.start) != clause.line:
        return False
    opening = float(opens[clause.start : min(clause.end, clause.start + _OPENING)].max())
    is_new_sentence = talk.doc[last.end - 1].sent.start != talk.doc[clause.start].sent.start
    return opening <= (_SPLIT if is_new_sentence else _SPLIT_INSIDE)
