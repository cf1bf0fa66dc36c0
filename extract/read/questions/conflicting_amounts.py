"""Waits, distances and numbers of things that disagree: "give it five minutes", and later "ten minutes at least"."""

from collections.abc import Iterator
from dataclasses import dataclass

from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.tags import PLURAL_NOUNS
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value
from vouchbook.models.quantities import Quantity

_WAITS = words_pattern(
    # "give it five minutes", "it takes ten minutes to bleed down"
    r"(?:wait|waits|waiting|give|leave|leaves|before|discharge|bleed|down|your|yours|until|till|"
    r"so|then|after|coasts?|stay|least|minimum)"
)
_NO_WAIT = words_pattern(
    # "two weeks ago", "every ten minutes", "it took me an hour", "hold it for four seconds"
    r"ago|old|last|every|away|years?|older|since|took|takes|took me|warranty|shift|lunch|week|"
    r"month|quarter|hold (?:it|that|the \w+)|press (?:it|that)|late|drive"
)
_SHORTEST_WAIT_S = 60
_ALONE = 4
"""Tokens of a sentence that says a time and nothing else."""
_KEEPS_BACK = words_pattern(
    # "everybody back, thirty metres", "no nearer than ten feet"
    r"(?:back|away|off|clear|from|everybody|everyone|distance|stand|fog|spray|jet|metres|feet|"
    r"yards|nearer|closer|further)"
)
_LONG_UNITS = frozenset({"m", "[ft_i]", "[yd_i]"})
_SHORTEST_DISTANCE = 5
_FEWEST, _MOST = 2, 60
"""Numbers of things that are counted off a machine."""
_MANY = frozenset("wheel door window tyre tire axle seat panel cover cable".split())
"""Of these a machine has several sets; two numbers of them need not disagree."""
_BETWEEN = frozenset({"JJ", "NN", "VBN"})
_COUNTED_WITHIN = 3
"""Tokens behind a number within which what it counts stands: "two high voltage isolators"."""
_ANOTHER_THING = 6
"""A value this many times another speaks of something else: "five minutes", "two days"."""
_SECONDS = {"s": 1, "min": 60, "h": 3600, "d": 86400}


@dataclass(frozen=True, slots=True)
class _Claim:
    """``amount`` of ``what``, said in ``sentence`` by ``value``."""

    what: str
    amount: float
    value: Value
    sentence: Sentence


def conflicting_amounts(talk: Talk) -> Iterator[Raised]:
    """One question for each thing of which two lines say different amounts: the first pair that disagrees."""
    claims = list(_claims(talk))
    asked: set[str] = set()
    for number, claim in enumerate(claims):
        for other in claims[number + 1 :]:
            if claim.what == other.what and claim.what not in asked and _disagree(claim, other):
                asked.add(claim.what)
                yield _conflict(talk, claim, other)


def _claims(talk: Talk) -> Iterator[_Claim]:
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.asks:
            continue
        for value in talk.values_in(sentence.start, sentence.end):
            quantity = value.quantity
            if not value.is_usable or value.is_asked or quantity.value is None or quantity.upper is not None:
                continue
            if what := _what(talk, sentence, value, quantity.value):
                yield _Claim(what, _amount(quantity), value, sentence)


def _what(talk: Talk, sentence: Sentence, value: Value, number: float) -> str | None:
    """What the value is an amount of, in words of ours; None when it is none that a crew goes by."""
    text, quantity = talk.tape(sentence.start, sentence.end).text, value.quantity
    if quantity.dimension == "time":
        is_alone = sentence.end - sentence.start <= _ALONE  # "Ten minutes." in answer to "how long?"
        is_told = _amount(quantity) >= _SHORTEST_WAIT_S and (is_alone or _WAITS.search(text))
        return "wait" if is_told and not _NO_WAIT.search(text) else None
    if quantity.dimension == "length":
        is_far = quantity.unit in _LONG_UNITS and number >= _SHORTEST_DISTANCE
        return f"distance in {quantity.unit}" if is_far and _KEEPS_BACK.search(text) else None
    if quantity.dimension in {"count", "number"} and quantity.unit in {None, "1"} and _FEWEST <= number <= _MOST:
        counted = _counted(talk, sentence, value.last)
        return f"number of {counted}" if counted else None
    return None


def _counted(talk: Talk, sentence: Sentence, last_word: int) -> str | None:
    """The things that a number counts, when they are components: "eight isolators" gives "isolator"."""
    doc, token = talk.doc, talk.token_of(last_word)
    if token is None:
        return None
    while token + 1 < sentence.end and talk.word(token + 1) == last_word:
        token += 1
    for at in range(token + 1, min(sentence.end, token + 1 + _COUNTED_WITHIN)):
        if doc[at].tag_ in PLURAL_NOUNS:
            parts = [m.entry.term for m in talk.mentions_in(max(token + 1, at - 2), at + 1, "part")]
            return parts[-1] if parts and parts[-1] not in _MANY else None
        if doc[at].tag_ not in _BETWEEN:
            return None
    return None


def _amount(quantity: Quantity) -> float:
    """The number, of times in seconds; of a time that is no wait, 0."""
    factor = _SECONDS.get(quantity.unit or "", 0) if quantity.dimension == "time" else 1
    return (quantity.value or 0) * factor


def _disagree(one: _Claim, other: _Claim) -> bool:
    if one.sentence.line == other.sentence.line or one.amount == other.amount:
        return False
    return max(one.amount, other.amount) <= _ANOTHER_THING * min(one.amount, other.amount)


def _conflict(talk: Talk, one: _Claim, other: _Claim) -> Raised:
    first, second = one.value.quantity.normal, other.value.quantity.normal
    return Raised(
        "conflict",
        f"{one.what}: {first} or {second}",
        f"Which is right, {first} or {second}? ({one.what.split(' in ')[0]})",
        tuple(words_of(talk, c.sentence.start, c.sentence.end) for c in (one, other)),
        disputed=tuple((c.value.first, c.value.last) for c in (one, other)),
    )
