"""What a speaker says without being sure of it: "I think it's the left one, I'd have to check", "don't quote me"."""

from typing import NamedTuple

from vouchbook.extract.read.talk import Sentence, Talk, once
from vouchbook.extract.read.tape import words_pattern

_REALLY = r"(?:really |entirely |quite |too |totally |completely |honestly |\w+ly )?"
_SPEAKER = r"(?:i|we)"
_PAPER = r"(?:[a-z]+ )?(?:book|manual|card|sheet|label|sticker|plate|drawing|plan|chart|data|papers?|notes?)"
_UNSURE = words_pattern(
    # "I'd have to check", "I'll have to look it up", "we'd need to ask the fitter"
    rf"{_SPEAKER} (?:'d|'ll|would|will|'ve got|should) ?(?:have|need|want)? ?to (?:double ?-? ?)?(?:check|look|ask|"
    r"see|find out|measure|count)(?: (?:again|first|up|it|that|them|those|(?:it|that|them) up|on that))?"
    rf"(?= (?:[.,;!?]|but|and|though|whether|if|which|(?:in|on|at) the {_PAPER})|$)|"
    rf"{_SPEAKER} (?:'d|'ll|would|will) ?(?:have|need|want)? ?to (?:ask|check with) "
    r"[a-z]+(?: [a-z]+){0,2}(?= [.,;!?]|$)",
    # "not sure if it's ten or twelve", "I'm not certain"; what others are unsure of is a condition, not a doubt
    rf"(?:^|(?<=, )|(?<=but )|(?<=and )|(?<=though )|{_SPEAKER} '?m |i am |we 're |we are )not {_REALLY}"
    r"(?:sure|certain|(?:a )?hundred per ?cent)(?! (?:you|we|they|people) (?:want|should|need|understand))",
    # "don't quote me on that", "don't hold me to it"
    r"do n't (?:quote|hold) me",
    r"(?:i )?would n't (?:swear|bet|put money)(?: my \w+)? ?(?:to|on)?",
    r"(?:i )?could n't (?:swear|tell you|say for (?:sure|certain))",
    # "I can't remember", "if I remember right", "off the top of my head"
    r"i (?:ca n't|do n't|can not|cannot) (?:quite |rightly |really )?(?:remember|recall)"
    r"(?! (?:the last|anyone|anybody|ever|when (?:we|i|it) last))",
    r"if i (?:remember|recall)(?: (?:right|rightly|correctly|it|that))?(?! to(?!\S))|if memory serves|"
    r"off the top of my head|from memory",
    r"i (?:'d|would) be (?:only |just )?guessing|(?:that|it) 's (?:only |just )?(?:a|my) guess",
    r"(?:that|it)(?: 's| is)? (?:wants|needs) (?:checking|looking up)",
)
"""In such words a speaker leaves open what he has just said, or is about to say."""
_LIKELY = words_pattern(
    # "I think it's the left one"; not "I think so too, lads", "what do you think"
    r"i (?:think|believe|reckon|suppose|guess|'m guessing)(?! (?:so|not|about|of|you|we (?:can|should|'re))(?!\S))",
    r"(?:as far as|so far as) i (?:know|remember|recall)",
)
"""These are also said of opinions, out of habit: they leave open a value or a side that stands beside them."""
_LEAVES_OPEN = frozenset({"if", "whether", "which", "what", "how", "where", "or"})
_SIDES = words_pattern(
    r"(?:left|right) (?:hand|side|one)|(?:on|to) the (?:left|right)|nearside|offside|top one|bottom one|front one|"
    r"rear one|clockwise|anticlockwise"
)
_FEW_WORDS = 3
"""Words beside those of the doubt in a sentence that says nothing else: "Don't quote me on that, mind."."""


class Hedge(NamedTuple):
    """Tokens ``start`` to ``end`` (exclusive) are said without certainty, because of tokens ``by``."""

    start: int
    end: int
    by: tuple[int, int]


@once
def hedges(talk: Talk) -> tuple[Hedge, ...]:
    """What ``talk`` leaves in doubt, in order, at most one for a sentence; neither questions nor small talk doubt."""
    return tuple(
        hedge
        for sentence in talk.sentences
        if sentence.line not in talk.chatter and not sentence.asks and (hedge := _hedge(talk, sentence)) is not None
    )


def hedge_in(talk: Talk, start: int, end: int) -> Hedge | None:
    """The first doubt that touches tokens ``start`` to ``end``."""
    return next((each for each in hedges(talk) if each.start < end and start < each.end), None)


def _hedge(talk: Talk, sentence: Sentence) -> Hedge | None:
    line = talk.tape(sentence.start, sentence.end)
    for by in line.spans(_UNSURE):
        hedge = Hedge(*_left_open(talk, sentence, by), by)
        if not _is_of_others(talk, sentence, by[0]) and _says_more(talk, hedge):
            return hedge
    for by in line.spans(_LIKELY):
        start, end = _beside(talk, sentence, by)
        if _says_value(talk, start, end):
            return Hedge(start, end, by)
    return None


def _is_of_others(talk: Talk, sentence: Sentence, at: int) -> bool:
    """Whether the doubt stands under a condition: "if I'm not sure I stop"; what is meant then is told, not doubted."""
    before = talk.doc[at - 1].lower_ if at > sentence.start else ""
    return before in {"if", "when", "because"} and talk.doc[at].lower_ != "if"


def _says_more(talk: Talk, hedge: Hedge) -> bool:
    """Whether something is doubted: "couldn't tell you" alone leaves nothing open that can be asked for."""
    others = (t for t in talk.doc[hedge.start : hedge.end] if not hedge.by[0] <= t.i < hedge.by[1])
    return sum(not t.is_punct for t in others) > 1


def _left_open(talk: Talk, sentence: Sentence, by: tuple[int, int]) -> tuple[int, int]:
    """The clause of the doubt with what it opens, "not sure if it's ten", or with the clause or sentence before it."""
    start, end = by
    words = [t for t in talk.doc[sentence.start : sentence.end] if not t.is_punct and not start <= t.i < end]
    if len(words) <= _FEW_WORDS and (before := _before(talk, sentence)) is not None:
        return before.start, sentence.end
    return _beside(talk, sentence, by)


def _before(talk: Talk, sentence: Sentence) -> Sentence | None:
    """The sentence that is doubted afterwards, or the question that is answered with doubt."""
    line = talk.sentences_of(sentence.line)
    place = line.index(sentence)
    if place:
        return line[place - 1]
    earlier = talk.sentences_of(sentence.line - 1)[-1:] if sentence.line else ()
    return next((s for s in earlier if s.asks or talk.voice(s.line) == talk.voice(sentence.line)), None)


def _beside(talk: Talk, sentence: Sentence, by: tuple[int, int]) -> tuple[int, int]:
    """The clauses that hold ``by``; where they say nothing else, with what it opens, or else with what is before it."""
    clauses = sentence.clauses
    held = [n for n, clause in enumerate(clauses) if clause.start < by[1] and by[0] < clause.end]
    if not held:
        return sentence.start, sentence.end
    first, last = held[0], held[-1]
    own = talk.doc[clauses[first].body : clauses[last].end]
    others = [t for t in own if not t.is_punct and not by[0] <= t.i < by[1] and t.lower_ not in _LEAVES_OPEN]
    if len(others) > _FEW_WORDS - 1:
        return clauses[first].start, clauses[last].end
    opens = by[1] < sentence.end and talk.doc[by[1]].lower_ in _LEAVES_OPEN
    if (opens or first == 0) and last + 1 < len(clauses):
        last += 1
    elif first:
        first -= 1
    return clauses[first].start, clauses[last].end


def _says_value(talk: Talk, start: int, end: int) -> bool:
    """Whether a size, number or side is said that nobody took back or settled in the same breath."""
    values = list(talk.values_in(start, end))
    if any(value.corrected_from for value in values):
        return False
    return bool(values) or _SIDES.search(talk.tape(start, end).text) is not None
