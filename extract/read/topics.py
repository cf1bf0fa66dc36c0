"""Which topic is being talked about, line by line.

Words of the packs speak for topics (ISO 17840 and our own), and talk stays on one until something moves it.
"""

from collections.abc import Sequence

from vouchbook.extract.packs.schema import Kind
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.talk import Sentence, Talk, once
from vouchbook.models.phases import Phase

PHASES = tuple(Phase)
Scores = tuple[float, ...]
"""One score for each phase, in the order of :data:`PHASES`."""

# All weights and costs below were fitted to walk-throughs; they have no unit and only their proportions matter.
_STRONG, _WEAK = 2.5, 0.8
_KIND_WEIGHT: dict[Kind, float] = {
    "topic_word": 1.0, "verb": 0.4, "part": 0.95, "tool": 1.3, "ppe": 0.5, "hazard": 1.2, "state": 1.0, "sign": 0.3,
}  # fmt: skip
_OTHER_KIND_WEIGHT = 0.4
_CAP = 4.0
"""A sentence speaks for a topic at most this firmly, however many of its words do."""
_QUESTION = 1.4
"""The officer's question sets the topic more firmly than a word in passing."""
_CHANGE, _CHANGE_ON_QUESTION, _CHANGE_UNSAID = 2.1, 0.9, 4.2
"""What it costs to go over to another topic: least where a question names it, most where no word does."""
_BACKWARD = 2.0
"""Talk goes through the topics roughly in their order; going back costs this much more."""
_OTHER = 1.4
"""What is left over costs this much more, so that words in passing do not end a topic."""
_NOT_IDENTIFY = 1.0
"""Talk begins with what the thing is; beginning with another topic costs this."""
_OWN_WORDS, _STAY = 0.55, 1.6
"""How much the own words of an item weigh, and the topic of its line."""

_BY_ACTION: dict[str, tuple[Phase, float]] = {
    "chock": (Phase.IMMOBILISE, 3.0),
    "wedge": (Phase.IMMOBILISE, 2.0),
    "approach": (Phase.IMMOBILISE, 2.0),
    "prop": (Phase.IMMOBILISE, 1.0),
    "wait": (Phase.STORED_ENERGY, 1.5),
    "load": (Phase.TOWING, 2.0),
    "tow": (Phase.TOWING, 2.0),
    "winch": (Phase.TOWING, 1.0),
    "cut": (Phase.ACCESS, 1.0),
    "break": (Phase.ACCESS, 1.0),
}
"""What a deed speaks for by itself, by the customs of the trade (common practice, no source)."""
_BY_HAZARD: dict[str, tuple[Phase, float]] = {
    "unexpected movement": (Phase.IMMOBILISE, 1.0),
    "pressure release": (Phase.STORED_ENERGY, 1.2),
    "projectile": (Phase.STORED_ENERGY, 0.8),
    "fall": (Phase.ACCESS, 0.8),
    "toxic fumes": (Phase.FIRE, 0.8),
    "fire": (Phase.FIRE, 0.6),
}
"""The same for a hazard."""


def spoken_for(talk: Talk, start: int, end: int) -> Scores:
    """How firmly tokens ``start`` to ``end`` speak for each topic; each word of the packs counts once."""
    scores = dict.fromkeys(PHASES, 0.0)
    seen: set[tuple[str, str]] = set()
    for mention in talk.mentions_in(start, end):
        entry = mention.entry
        if entry.phase is None or (entry.kind, entry.term) in seen:
            continue
        seen.add((entry.kind, entry.term))
        firmness = _STRONG if entry.weight == "strong" else _WEAK
        scores[entry.phase] += firmness * _KIND_WEIGHT.get(entry.kind, _OTHER_KIND_WEIGHT)
    return tuple(min(scores[phase], _CAP) for phase in PHASES)


@once
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
    of_line = topic_of_line[found.line]
    own = spoken_for(talk, found.start, found.end)
    scores = {phase: _OWN_WORDS * score for phase, score in zip(PHASES, own, strict=True)}
    scores[of_line] += _STAY
    if (custom := by_custom(found)) is not None:
        phase, weight = custom
        scores[phase] += weight
    if scores[Phase.OTHER] and of_line is not Phase.OTHER:
        scores[Phase.OTHER] -= _OTHER
    return max(PHASES, key=lambda each: (scores[each], -PHASES.index(each)))


def by_custom(found: Found) -> tuple[Phase, float] | None:
    """The topic that an item of this kind speaks for, whatever its words."""
    if found.kind == "step":
        return _BY_ACTION.get(found.fields["action"].split()[0])
    if found.kind == "warning":
        return _BY_HAZARD.get(found.fields["hazard"])
    return None


def _best_path(spoken: Sequence[Scores], on_question: Sequence[bool]) -> tuple[Phase, ...]:
    """Viterbi: the path through the topics with the highest sum of scores less costs; ties stay, then come first."""
    if not spoken:
        return ()
    topics = range(len(PHASES))
    best = [score - (0 if PHASES[n] is Phase.IDENTIFY else _NOT_IDENTIFY) for n, score in enumerate(spoken[0])]
    came_from: list[list[int]] = []
    for scores, question in zip(spoken[1:], on_question[1:], strict=True):
        came: list[int] = []
        reached: list[float] = []
        for n in topics:
            options = [best[m] - _cost(m, n, is_said=scores[n] != 0, on_question=question) for m in topics]
            source = max(topics, key=lambda m: (options[m], m == n, -m))
            came.append(source)
            reached.append(options[source] + scores[n])
        came_from.append(came)
        best = reached
    path = [max(topics, key=lambda n: (best[n], -n))]
    for came in reversed(came_from):
        path.append(came[path[-1]])
    return tuple(PHASES[n] for n in reversed(path))


def _cost(source: int, target: int, *, is_said: bool, on_question: bool) -> float:
    if source == target:
        return 0.0
    change = (_CHANGE_ON_QUESTION if on_question else _CHANGE) if is_said else _CHANGE_UNSAID
    if PHASES[target] is Phase.OTHER:
        return change + _OTHER
    return change + (_BACKWARD if target < source else 0.0)


def firmly_spoken_for(talk: Talk) -> dict[Phase, int]:
    """How many sentences hold words that firmly speak for each topic, chatter left out."""
    total = dict.fromkeys(PHASES, 0)
    for sentence in talk.sentences:
        if sentence.line not in talk.chatter:
            for phase in _firmly(talk, sentence):
                total[phase] += 1
    return total


def _firmly(talk: Talk, sentence: Sentence) -> set[Phase]:
    entries = (mention.entry for mention in talk.mentions_in(sentence.start, sentence.end))
    return {entry.phase for entry in entries if entry.phase and entry.weight == "strong"}
