"""Which sentences of a line are one warning: neighbours that warn, and the sentence that gives the reason."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.items.goes_wrong import tells_harm
from vouchbook.extract.read.items.warning_hazards import forbids, hazards_told, weight_told
from vouchbook.extract.read.talk import Sentence, Talk

_ENOUGH = 2
"""Hazard weight that makes a warning without a prohibition."""
_SHORT = 7
"""Tokens; a sentence this short between two that warn belongs to them."""
_LONGEST_QUOTE = 45
"""Words; a longer quote says less than its parts."""
_MOST_REASONS = 4
"""Sentences of an answer that forbids, its reasons included."""
_BARE_ANSWER = 6
"""Tokens; an answer this short leaves the reason to the sentence behind: "God, no. Forty bar, and hot."."""
_SHORTEST_REASON = 4
"""Tokens; a reason is more than a word or two."""


def runs(talk: Talk, line: int) -> Iterator[Sequence[Sentence]]:
    """The warnings of ``line``, each as the sentences that tell it; no sentence stands in two."""
    sentences = talk.sentences_of(line)
    at = free_from = 0
    while at < len(sentences):
        if not _warns(talk, sentences[at]):
            at += 1
            continue
        start, end = at, _end_of_run(talk, sentences, at)
        if not any(hazards_told(talk, s) for s in sentences[start:end]):
            start, end = _with_reason(talk, sentences, start, end, free_from)
        yield sentences[start:end]
        at = free_from = end


def with_reasons(talk: Talk, line: int, end: int) -> Sequence[Sentence]:
    """The sentences of ``line`` up to token ``end``, and those behind that tell why or forbid more of the same."""
    sentences = talk.sentences_of(line)
    last = next(n for n, s in enumerate(sentences, start=1) if s.end >= end)
    while last < len(sentences) and last < _MOST_REASONS:
        whole = sentences[: last + 1]
        warns = _warns(talk, sentences[last]) and _words(talk, whole) <= _LONGEST_QUOTE
        is_bare = end - sentences[0].start <= _BARE_ANSWER
        if not warns and not (is_bare and _is_reason(talk, sentences[last], whole)):
            break
        last += 1
    return sentences[:last]


def _warns(talk: Talk, sentence: Sentence) -> bool:
    """Whether a sentence forbids or tells a hazard; the one who asks must do both."""
    if sentence.asks:
        return False
    if sentence.line in talk.askers:
        return forbids(talk, sentence) and weight_told(talk, sentence) >= _ENOUGH
    is_harm = any(tells_harm(talk, sentence, clause) for clause in sentence.clauses)
    return is_harm or weight_told(talk, sentence) >= _ENOUGH or forbids(talk, sentence)


def _end_of_run(talk: Talk, sentences: Sequence[Sentence], start: int) -> int:
    """The index behind the sentences from ``start`` on that warn of one thing, a short one between two included."""
    at = start + 1
    while at < len(sentences) and not _stands_alone(talk, sentences[start:at], sentences[at]):
        is_short = sentences[at].end - sentences[at].start <= _SHORT
        if is_short and at + 1 < len(sentences) and _warns(talk, sentences[at + 1]):
            following = at + 2
        elif _warns(talk, sentences[at]):
            following = at + 1
        else:
            break
        if _words(talk, sentences[start:following]) > _LONGEST_QUOTE:
            break
        at = following
    return at


def _stands_alone(talk: Talk, run: Sequence[Sentence], following: Sentence) -> bool:
    """Whether ``following`` is a warning of its own: it tells another kind of hazard, and the run forbids already."""
    before = {w.hazard for s in run for w in hazards_told(talk, s)} - {"other"}
    own = {w.hazard for w in hazards_told(talk, following)} - {"other"}
    if not before or not own or before & own:
        return False
    return any(forbids(talk, s) for s in run) and weight_told(talk, following) >= _ENOUGH


def _with_reason(talk: Talk, sentences: Sequence[Sentence], start: int, end: int, free_from: int) -> tuple[int, int]:
    """The run with the sentence that gives the reason: as a rule the one behind, else the one before.

    "It runs up in that post. So keep out of it." concludes: there the one before comes first. Sentences before
    ``free_from`` stand in another warning.
    """
    is_before = start > free_from and _is_reason(talk, sentences[start - 1], sentences[start - 1 : end])
    is_behind = end < len(sentences) and _is_reason(talk, sentences[end], sentences[start : end + 1])
    concludes = sentences[start].clauses[0].leads[:1] == ("so",)
    if is_before and (concludes or not is_behind):
        return start - 1, end
    return start, end + 1 if is_behind else end


def _is_reason(talk: Talk, sentence: Sentence, whole: Sequence[Sentence]) -> bool:
    """Whether ``sentence`` tells why, not what to do, and the ``whole`` stays short enough to read."""
    if (
        sentence.asks
        or sentence.end - sentence.start < _SHORTEST_REASON
        or any(deed(talk, c) for c in sentence.clauses)
    ):
        return False
    return _words(talk, whole) <= _LONGEST_QUOTE


def _words(talk: Talk, sentences: Sequence[Sentence]) -> int:
    return talk.word(sentences[-1].end - 1) - talk.word(sentences[0].start) + 1
