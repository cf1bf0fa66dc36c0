"""Warnings: a prohibition, a hazard, or both where they are told together."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.deeds import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.hazards import HazardWord, hazard_words, judge
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import Prohibition, is_look_alike, prohibition
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import Tape, words_pattern

_ENOUGH = 2
"""Hazard weight that makes a warning without a prohibition."""
_STATE_TOLD = words_pattern(
    # a sign of a state, which is a cue: "if that's lit, it's live", "a fan going doesn't mean it's live"
    r"(?:if|when) (?:that|it|the \w+|the \w+ \w+)(?: 's| is) (?:\w+ )?(?:lit|on|green|red|amber|"
    r"blue|white|showing|up|down|out) ,? ?(?:then )?(?:it|she|that)(?: 's| is) (?:\w+ )?(?:live|"
    r"on|ready|awake)",
    r"does n't mean (?:it|she|that)(?: 's| is) .*",
)
_PRESENT = words_pattern(
    r"(?:still|always|inside|sat|sits|sitting|in (?:it|there|that|them|those|here)|in a tin|carry|"
    r"carries|carrying|hold|holds|holding|stand\w* in|sat at|at|got|goes|runs|running|behind|never|"
    r"whatever|daylight|day|full|yet|on the orange|in your face)"
)
_SHORT = 7
"""Tokens; a sentence this short between two that warn belongs to them."""
_LONGEST_TEXT = 30
_LONGEST_QUOTE = 45
"""Words; a longer quote says less than its parts."""


def warnings(talk: Talk) -> Iterator[Found]:
    """The warnings of ``talk``: neighbouring sentences of one speaker that warn are one warning."""
    for line in range(len(talk.transcript.lines)):
        if line in talk.chatter:
            continue
        for run in _runs(talk, talk.sentences_of(line)):
            yield _warning(talk, run)


def _runs(talk: Talk, sentences: Sequence[Sentence]) -> Iterator[list[Sentence]]:
    """The sentences of one line that warn, neighbours together, each prohibition with the sentence that gives its reason."""
    used = -1
    at = 0
    while at < len(sentences):
        if not _warns(talk, sentences[at]):
            at += 1
            continue
        run = [sentences[at]]
        at += 1
        while at < len(sentences):
            if _stands_alone(talk, run, sentences[at]):
                break
            gap = (
                at + 1 < len(sentences)
                and sentences[at].end - sentences[at].start <= _SHORT
                and _warns(talk, sentences[at + 1])
            )
            if (
                not (_warns(talk, sentences[at]) or gap)
                or _words(talk, run[0].start, sentences[at + gap].end) > _LONGEST_QUOTE
            ):
                break
            run += sentences[at : at + 1 + gap]
            at += 1 + gap
        if not any(_hazards(talk, s) for s in run):
            after = sentences[at] if at < len(sentences) else None
            before = sentences[run[0].number - sentences[0].number - 1] if run[0].number > sentences[0].number else None
            concludes = run[0].clauses[0].leads[:1] == ("so",)  # "it comes down in that pillar, so stay out of it"
            if (
                concludes
                and before
                and before.number > used
                and _gives_reason(talk, before)
                and _words(talk, before.start, run[-1].end) <= _LONGEST_QUOTE
            ):
                run.insert(0, before)
            elif after and _gives_reason(talk, after) and _words(talk, run[0].start, after.end) <= _LONGEST_QUOTE:
                run.append(after)
                at += 1
            elif (
                before
                and before.number > used
                and _gives_reason(talk, before)
                and _words(talk, before.start, run[-1].end) <= _LONGEST_QUOTE
            ):
                run.insert(0, before)
        used = run[-1].number
        yield run


def _stands_alone(talk: Talk, run: list[Sentence], following: Sentence) -> bool:
    """Whether ``following`` is a warning of its own: the run has its prohibition and hazard, and so has this one, of another kind."""
    before = {w.hazard for s in run for w in _hazards(talk, s) if w.hazard != "other"}
    own = {w.hazard for w in _hazards(talk, following) if w.hazard != "other"}
    if not (before and own) or before & own:
        return False
    return any(any(_prohibitions(talk, s)) for s in run) and sum(w.weight for w in _hazards(talk, following)) >= _ENOUGH


def _gives_reason(talk: Talk, sentence: Sentence) -> bool:
    """Whether a sentence beside a prohibition may tell why: a statement of more than a word or two."""
    return not sentence.asks and sentence.end - sentence.start > 3 and not any(deed(talk, c) for c in sentence.clauses)


def _warns(talk: Talk, sentence: Sentence) -> bool:
    if sentence.asks:
        return False
    weight = sum(w.weight for w in _hazards(talk, sentence))
    if sentence.line in talk.askers:
        return any(_prohibitions(talk, sentence)) and weight >= _ENOUGH
    return weight >= _ENOUGH or any(_prohibitions(talk, sentence))


def _prohibitions(talk: Talk, sentence: Sentence) -> Iterator[Prohibition]:
    for clause in sentence.clauses:
        if (found := prohibition(talk.doc, clause.body, clause.end)) is not None:
            yield found


def _hazards(talk: Talk, sentence: Sentence) -> tuple[HazardWord, ...]:
    line = talk.tape(sentence.start, sentence.end)
    if _STATE_TOLD.search(line.text):
        return ()
    seen: list[HazardWord] = []
    for word in (*_energies(talk, sentence, line), *hazard_words(line), *_of_parts(talk, sentence)):
        if all(word.start >= other.end or word.end <= other.start or word.weight > other.weight for other in seen):
            seen.append(word)
    return tuple(sorted(seen, key=lambda w: w.start))


def _energies(talk: Talk, sentence: Sentence, line: Tape) -> Iterator[HazardWord]:
    """A voltage or a pressure that is said to be there: "three fifty sitting in there", "two hundred bar in that"."""
    present = _PRESENT.search(line.text)
    for value in talk.values_in(sentence.start, sentence.end):
        quantity, amount = value.quantity, value.quantity.value
        start, end = talk.token_of(value.first), talk.token_of(value.last)
        if amount is None or start is None or end is None:
            continue
        weight = 2 if present else 1
        if quantity.dimension == "voltage" and amount > 60:  # UN R100: above 60 V DC is high voltage
            yield HazardWord(start, end + 1, "electric shock", "danger", weight)
        elif quantity.dimension == "pressure" and amount >= (10 if quantity.unit == "bar" else 145):
            in_bar = amount if quantity.unit == "bar" else amount / 14.5
            yield HazardWord(start, end + 1, "pressure release", "danger" if in_bar > 100 else "warning", weight)


def _of_parts(talk: Talk, sentence: Sentence) -> Iterator[HazardWord]:
    """The hazard that a named part carries, where the sentence forbids something: "nobody opens the battery"."""
    if not any(_prohibitions(talk, sentence)):
        return
    for mention in talk.mentions_in(sentence.start, sentence.end, "part", "material", "hazard"):
        if mention.entry.hazard:
            signal = mention.entry.signal or ("danger" if mention.entry.hazard == "electric shock" else "warning")
            yield HazardWord(mention.start, mention.end, mention.entry.hazard, signal, 1)


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
    fields = {"text": _text(talk, run, words), "hazard": hazard, "signal": signal, "prohibits": prohibits}
    return Found("warning", start, end, run[0].line, fields, act, tuple(reasons))


def _text(talk: Talk, run: list[Sentence], words: list[HazardWord]) -> str:
    """The clauses that tell the hazard; without any, the sentence that gives the reason, or the whole."""
    telling = [c for s in run for c in s.clauses if any(c.start <= w.start < c.end for w in words)]
    if telling:
        first, last = telling[0], telling[-1]
        if last.end - first.start <= _LONGEST_TEXT:
            return with_volts(talk, first.start, last.end)
        best = max(telling, key=lambda c: (sum(w.weight for w in words if c.start <= w.start < c.end), -c.start))
        return with_volts(talk, best.start, best.end)
    return with_volts(talk, run[0].start, run[-1].end)


def with_volts(talk: Talk, start: int, end: int) -> str:
    """The words with each voltage in figures, as the trade writes it: "four hundred volts" is "400 V"."""
    text, at = [], start
    for value in talk.values_in(start, end):
        first, last = talk.token_of(value.first), talk.token_of(value.last)
        if value.quantity.dimension == "voltage" and first is not None and last is not None:
            text.append(text_of(talk.doc, at, first))
            text.append(value.quantity.normal)
            at = last + 1
            while at < end and talk.word(at) == value.last:
                at += 1
    text.append(text_of(talk.doc, at, end))
    return " ".join(piece for piece in text if piece)


def _neighbourhood(talk: Talk, run: list[Sentence]) -> list[HazardWord]:
    """The hazards told right beside a prohibition that gives no reason of its own."""
    around = [s for s in talk.sentences_of(run[0].line) if s not in run]
    before = talk.sentences_of(run[0].line - 1) if run[0].line else ()
    return [w for s in (*around, *before) for w in hazard_words(talk.tape(s.start, s.end))]


def _prohibited(talk: Talk, found: Prohibition) -> str:
    return text_of(talk.doc, found.start, found.end)
