"""Which topic is being talked about, line by line: words speak for topics, and talk stays on one until something moves it."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.talk import Talk
from vouchbook.models.phases import Phase

PHASES = tuple(Phase)
Scores = tuple[float, ...]
"""One score for each phase, in the order of :data:`PHASES`."""

_STRONG, _WEAK = 2.5, 0.8
_KIND_WEIGHT = {
    "topic_word": 1.0,
    "verb": 0.4,
    "part": 0.95,
    "tool": 1.3,
    "ppe": 0.5,
    "hazard": 1.2,
    "state": 1.0,
    "sign": 0.3,
}
_QUESTION = 1.4
"""The officer's question sets the topic more firmly than a word in passing."""
_CHANGE, _CHANGE_ON_QUESTION, _CHANGE_UNSAID = 2.1, 0.9, 4.2
"""What it costs to go over to another topic, least where a question names it."""
_OTHER = 1.4
_CAP = 4.0
_OWN_WORDS, _STAY = 0.55, 1.6
_BACKWARD = 2.0
"""Talk goes through the topics roughly in their order; going back costs this much more."""


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


def item_topic(talk: Talk, topic_of_line: Sequence[Phase], found: Found) -> Phase:
    """The topic of an item: what its own words and its kind speak for, against the topic of its line."""
    scores = dict(zip(PHASES, spoken_for(talk, found.start, found.end), strict=True))
    scores = {phase: _OWN_WORDS * score for phase, score in scores.items()}
    scores[topic_of_line[found.line]] += _STAY
    for phase, weight in _by_kind(found):
        scores[phase] += weight
    if scores[Phase.OTHER] and topic_of_line[found.line] is not Phase.OTHER:
        scores[Phase.OTHER] -= _OTHER
    return max(PHASES, key=lambda phase: (scores[phase], -PHASES.index(phase)))


def _by_kind(found: Found) -> Iterator[tuple[Phase, float]]:
    """What the kind of an item speaks for, by the settled customs of the trade."""
    if found.kind == "step":
        yield from _BY_ACTION.get(found.fields["action"].split()[0], ())
    if found.kind == "warning":
        yield from _BY_HAZARD.get(found.fields["hazard"], ())


_BY_ACTION: dict[str, tuple[tuple[Phase, float], ...]] = {
    "chock": ((Phase.IMMOBILISE, 3.0),),
    "wedge": ((Phase.IMMOBILISE, 2.0),),
    "approach": ((Phase.IMMOBILISE, 2.0),),
    "prop": ((Phase.IMMOBILISE, 1.0),),
    "wait": ((Phase.STORED_ENERGY, 1.5),),
    "load": ((Phase.TOWING, 2.0),),
    "tow": ((Phase.TOWING, 2.0),),
    "winch": ((Phase.TOWING, 1.0),),
    "cut": ((Phase.ACCESS, 1.0),),
    "break": ((Phase.ACCESS, 1.0),),
}
_BY_HAZARD: dict[str, tuple[tuple[Phase, float], ...]] = {
    "unexpected movement": ((Phase.IMMOBILISE, 1.0),),
    "pressure release": ((Phase.STORED_ENERGY, 1.2),),
    "projectile": ((Phase.STORED_ENERGY, 0.8),),
    "fall": ((Phase.ACCESS, 0.8),),
    "toxic fumes": ((Phase.FIRE, 0.8),),
    "fire": ((Phase.FIRE, 0.6),),
}


def _best_path(spoken: Sequence[Scores], on_question: Sequence[bool]) -> tuple[Phase, ...]:
    if not spoken:
        return ()
    size = len(PHASES)
    at_start = [0.0 if phase is Phase.IDENTIFY else -1.0 for phase in PHASES]
    best = [at_start[n] + spoken[0][n] for n in range(size)]
    back: list[list[int]] = []
    for scores, question in zip(spoken[1:], on_question[1:], strict=True):
        came, now = [], []
        for n in range(size):
            cost = _CHANGE_UNSAID if scores[n] == 0 else _CHANGE_ON_QUESTION if question else _CHANGE
            options = [best[m] - (0 if m == n else cost + _extra_cost(m, n)) for m in range(size)]
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


def _extra_cost(source: int, target: int) -> float:
    if PHASES[target] is Phase.OTHER:
        return _OTHER
    return _BACKWARD if target < source else 0.0


def firmly_spoken_for(talk: Talk) -> dict[Phase, int]:
    """How many sentences hold words that firmly speak for each topic."""
    total = dict.fromkeys(PHASES, 0)
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        for phase in {
            m.entry.phase
            for m in talk.mentions_in(sentence.start, sentence.end)
            if m.entry.phase and m.entry.weight == "strong"
        }:
            total[phase] += 1
    return total
