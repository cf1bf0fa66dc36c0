"""Which topic is being talked about, line by line: words speak for topics, and talk stays on one until something moves it."""

import math
from collections.abc import Sequence

from vouchbook.extract.read.talk import Talk
from vouchbook.models.phases import Phase

PHASES = tuple(Phase)
Scores = tuple[float, ...]
"""One score for each phase, in the order of :data:`PHASES`."""

_STRONG, _WEAK = 2.0, 0.6
_KIND_WEIGHT = {"topic_word": 1.0, "verb": 0.5, "part": 0.7, "tool": 0.6, "ppe": 0.3, "hazard": 0.6, "state": 0.6, "sign": 0.5}
_QUESTION = 1.5
"""The officer's question sets the topic more firmly than a word in passing."""
_CHANGE, _CHANGE_ON_QUESTION = 2.2, 1.2
_OTHER = 1.5
_CAP = 4.0


def spoken_for(talk: Talk, start: int, end: int) -> Scores:
    """How firmly tokens ``start`` to ``end`` speak for each topic; each word of the packs counts once."""
    scores = dict.fromkeys(PHASES, 0.0)
    seen: set[tuple[str, str]] = set()
    for mention in talk.mentions_in(start, end):
        entry = mention.entry
        if entry.phase is None or (entry.kind, entry.term) in seen:
            continue
        seen.add((entry.kind, entry.term))
        scores[entry.phase] += (_STRONG if entry.weight == "strong" else _WEAK) * _KIND_WEIGHT.get(entry.kind, 0.4)
    return tuple(min(scores[phase], _CAP) for phase in PHASES)


def line_topics(talk: Talk) -> tuple[Phase, ...]:
    """The most likely topic of each line: the best path (Viterbi) where a change of topic costs."""
    spoken: list[Scores] = []
    for number in range(len(talk.transcript.lines)):
        sentences = talk.sentences_of(number)
        factor = _QUESTION if number in talk.askers else 1.0
        each = [spoken_for(talk, s.start, s.end) for s in sentences] or [(0.0,) * len(PHASES)]
        spoken.append(tuple(factor * sum(column) for column in zip(*each, strict=True)))
    return _best_path(spoken, [number in talk.askers for number in range(len(spoken))])


def item_topic(talk: Talk, topic_of_line: Sequence[Phase], line: int, start: int, end: int, stay: float = 2.0) -> Phase:
    """The topic of an item said in tokens ``start`` to ``end`` of ``line``: its own words against the line's topic."""
    scores = list(spoken_for(talk, start, end))
    scores[PHASES.index(topic_of_line[line])] += stay
    return PHASES[max(range(len(PHASES)), key=lambda n: (scores[n], -n))]


def _best_path(spoken: Sequence[Scores], on_question: Sequence[bool]) -> tuple[Phase, ...]:
    if not spoken:
        return ()
    size = len(PHASES)
    at_start = [0.0 if phase is Phase.IDENTIFY else -1.0 for phase in PHASES]
    best = [at_start[n] + spoken[0][n] for n in range(size)]
    back: list[list[int]] = []
    for scores, question in zip(spoken[1:], on_question[1:], strict=True):
        cost = _CHANGE_ON_QUESTION if question else _CHANGE
        came, now = [], []
        for n in range(size):
            options = [best[m] - (0 if m == n else cost + (_OTHER if PHASES[n] is Phase.OTHER else 0)) for m in range(size)]
            source = max(range(size), key=lambda m: (options[m], m == n, -m))
            came.append(source)
            now.append(options[source] + scores[n])
        back.append(came)
        best = now
    at = max(range(size), key=lambda n: (best[n], -n))
    path = [at]
    for came in reversed(back):
        path.append(came[path[-1]])
    return tuple(PHASES[n] for n in reversed(path))


def coverage(talk: Talk) -> dict[Phase, float]:
    """How much was said about each topic, as the sum of what its words weigh over the talk."""
    total = dict.fromkeys(PHASES, 0.0)
    for sentence in talk.sentences:
        for phase, score in zip(PHASES, spoken_for(talk, sentence.start, sentence.end), strict=True):
            total[phase] += score
    return {phase: math.floor(100 * score) / 100 for phase, score in total.items()}
