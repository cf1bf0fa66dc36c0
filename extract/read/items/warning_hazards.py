"""The hazards that a sentence tells: by its words, by a voltage or pressure in it, by a part that carries one."""

from collections.abc import Iterator

from vouchbook.extract.read.hazards.judge import HazardWord, hazard_words
from vouchbook.extract.read.hedges import hedge_in
from vouchbook.extract.read.items.control_limits import limits
from vouchbook.extract.read.items.denial import breaks_off
from vouchbook.extract.read.scope import Prohibition, prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import BASE_VERBS
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_STATE_TOLD = words_pattern(
    # a sign of a state, which is a cue: "if that's green, it's live", "a hum doesn't mean it's live"
    r"(?:if|when) (?:that|it|the \w+|the \w+ \w+)(?: 's| is) (?:\w+ )?(?:lit|on|green|red|amber|"
    r"blue|white|showing|up|down|out) ,? ?(?:then )?(?:it|she|that)(?: 's| is) (?:\w+ )?(?:live|"
    r"on|ready|awake)",
    r"does n't mean (?:it|she|that)(?: 's| is) .*",
)
_PRESENT = words_pattern(
    # "three fifty sitting in there", "it's at two hundred bar"
    r"(?:still|always|inside|sat|sits|sitting|in (?:it|there|that|them|those|here)|in a tin|carry|"
    r"carries|carrying|hold|holds|holding|stand\w* in|sat at|at|got|goes|runs|running|behind|never|"
    r"whatever|daylight|day|full|yet|on the orange|in your face)"
)
_HIGH_VOLTS = 60
"""Above 60 V DC is high voltage: UN R100."""
_HIGH_BAR, _KILLS_BAR, _PSI_IN_A_BAR = 10, 100, 14.5
"""Pressure that hurts, and pressure that kills, as gas: common practice, no source."""


def prohibitions(talk: Talk, sentence: Sentence) -> Iterator[Prohibition]:
    """What the clauses of ``sentence`` forbid."""
    for clause in sentence.clauses:
        if (found := prohibition_of(talk, clause)) is not None:
            yield found


def prohibition_of(talk: Talk, clause: Clause) -> Prohibition | None:
    """What ``clause`` forbids; the marker of "five minutes before anybody's fingers go near" is part of it."""
    start = clause.start if clause.marker == "before" else clause.body
    found = prohibition(talk.doc, start, clause.end) or _broken_off(talk, clause)
    doubt = hedge_in(talk, found.start, found.end) if found else None
    # "don't quote me on that" forbids nothing at the machine
    return None if found and doubt and doubt.by[0] <= found.start < doubt.by[1] else found


def _broken_off(talk: Talk, clause: Clause) -> Prohibition | None:
    """What is forbidden where the negation breaks off and its deed comes later: "never, ever, lift it"."""
    if not breaks_off(talk.doc, clause):
        return None
    behind = (c for c in talk.sentences[clause.sentence].clauses if c.start >= clause.end)
    deed = next((c for c in behind if talk.doc[c.body].tag_ in BASE_VERBS | {"VBZ"}), None)
    return Prohibition(clause.start, deed.body, deed.end) if deed else None


def forbids(talk: Talk, sentence: Sentence) -> bool:
    """Whether a clause of ``sentence`` forbids something."""
    return any(True for _ in prohibitions(talk, sentence))


def hazards_told(talk: Talk, sentence: Sentence) -> tuple[HazardWord, ...]:
    """The hazard words of ``sentence`` in order; where two overlap, the first unless a later one weighs more."""
    line = talk.tape(sentence.start, sentence.end)
    if _STATE_TOLD.search(line.text):
        return ()
    seen: list[HazardWord] = []
    for word in (*limits(talk, sentence), *_energies(talk, sentence), *hazard_words(line), *_of_parts(talk, sentence)):
        if all(word.start >= other.end or word.end <= other.start or word.weight > other.weight for other in seen):
            seen.append(word)
    return tuple(sorted(seen, key=lambda w: w.start))


def weight_told(talk: Talk, sentence: Sentence) -> float:
    """How much of a hazard ``sentence`` tells."""
    return sum(word.weight for word in hazards_told(talk, sentence))


def _energies(talk: Talk, sentence: Sentence) -> Iterator[HazardWord]:
    """A voltage or a pressure that is said to be there: "three fifty sitting in there", "two hundred bar in that"."""
    weight = 2 if _PRESENT.search(talk.tape(sentence.start, sentence.end).text) else 1
    for value in talk.values_in(sentence.start, sentence.end):
        quantity, amount = value.quantity, value.quantity.value
        start, last = talk.token_of(value.first), talk.token_of(value.last)
        if amount is None or start is None or last is None:
            continue
        if quantity.dimension == "voltage" and amount > _HIGH_VOLTS:
            yield HazardWord(start, last + 1, "electric shock", "danger", weight)
        elif quantity.dimension == "pressure":
            is_bar = quantity.unit == "bar"
            if amount >= (_HIGH_BAR if is_bar else _HIGH_BAR * _PSI_IN_A_BAR):
                bar = amount if is_bar else amount / _PSI_IN_A_BAR
                yield HazardWord(
                    start, last + 1, "pressure release", "danger" if bar > _KILLS_BAR else "warning", weight
                )


def _of_parts(talk: Talk, sentence: Sentence) -> Iterator[HazardWord]:
    """The hazard that a named part carries, where the sentence forbids something: "nobody opens the battery"."""
    if not forbids(talk, sentence):
        return
    for mention in talk.mentions_in(sentence.start, sentence.end, "part", "material", "hazard"):
        hazard = mention.entry.hazard
        if hazard:
            signal = mention.entry.signal or ("danger" if hazard == "electric shock" else "warning")
            yield HazardWord(mention.start, mention.end, hazard, signal, 1)
