"""Two statements of one talk that disagree: a waiting time, a number of things, a side."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.models.quantities import Quantity

_WAITS = words_pattern(r"(?:wait|waits|waiting|give|leave|before|hang|discharge|bleed|down|your)")
_SIDES = words_pattern(r"(?:on |to |at |from |the |its |your )*(?P<side>left|right|nearside|offside|driver 's side|passenger side|front|rear)(?: hand)?(?: side)?")
_DISPUTES = words_pattern(
    r"no ,? ?(?:it|that|they|he|she|the|not)(?: 's| is|'s| was)?", r"(?:it|that|they)(?: 's|'s| is| are|'re) (?:the |on the |on |\w+ )?(?:other|right|left|newer|older|wrong)(?: \w+)*", r"swapped|they changed|changed (?:it|that)|you said|thought (?:it|you|that)|i do n't know what i said|that 's not what|book says|manual says|are you sure|i 'd have to (?:look|check)|did they|was n't it|is n't it"
)


@dataclass(frozen=True, slots=True)
class _Claim:
    """A value of ``what`` said in ``sentence``."""

    what: str
    quantity: Quantity
    sentence: Sentence
    first: int
    last: int


def conflicts(talk: Talk) -> Iterator[Raised]:
    """One question for each pair of statements that cannot both be true."""
    claims = list(_claims(talk))
    for number, claim in enumerate(claims):
        for other in claims[number + 1 :]:
            if claim.what == other.what and other.sentence.number != claim.sentence.number and _differ(claim.quantity, other.quantity):
                yield _conflict(talk, claim, other)
                break
    yield from _disputed_sides(talk)


def _claims(talk: Talk) -> Iterator[_Claim]:
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.asks:
            continue
        text = talk.tape(sentence.start, sentence.end).text
        for value in talk.values_in(sentence.start, sentence.end):
            quantity = value.quantity
            if value.is_open or quantity.value is None:
                continue
            if quantity.dimension == "time" and _WAITS.search(text) and _seconds(quantity) >= 60 and "ago" not in text:
                yield _Claim("wait", quantity, sentence, value.first, value.last)
            elif (what := _counted(talk, sentence, value.last)) and quantity.dimension in {"count", "number"} and 2 <= quantity.value <= 60:
                yield _Claim(f"count of {what}", quantity, sentence, value.first, value.last)


def _counted(talk: Talk, sentence: Sentence, last_word: int) -> str | None:
    """The things that a number counts, when they are components: "eight isolators" gives "isolator"."""
    token = talk.token_of(last_word)
    if token is None:
        return None
    doc = talk.doc
    while token + 1 < sentence.end and talk.word(token + 1) == last_word:
        token += 1
    for at in range(token + 1, min(sentence.end, token + 4)):
        if doc[at].tag_ in {"NNS", "NNPS"}:
            mentions = [m for m in talk.mentions_in(max(token + 1, at - 2), at + 1, "part", "fastener")]
            if mentions and not any(m.entry.kind == "fastener" for m in mentions):
                return mentions[-1].entry.term
            return None
        if doc[at].tag_ not in {"JJ", "NN", "VBN", "IN", "DT"}:
            return None
    return None


def _seconds(quantity: Quantity) -> float:
    factor = {"s": 1, "min": 60, "h": 3600, "d": 86400}.get(quantity.unit or "", 0)
    return (quantity.value or 0) * factor


def _differ(one: Quantity, other: Quantity) -> bool:
    if one.dimension == "time":
        a, b = _seconds(one), _seconds(other)
        return a != b and max(a, b) <= 30 * min(a, b)  # five minutes and two days wait for different things
    return one.value != other.value


def _conflict(talk: Talk, one: _Claim, other: _Claim) -> Raised:
    about = f"{one.what}: {one.quantity.normal} or {other.quantity.normal}"
    spans = tuple((talk.word(c.sentence.start), talk.word(c.sentence.end - 1)) for c in (one, other))
    return Raised("conflict", about, f"Which is right, {one.quantity.normal} or {other.quantity.normal}? ({one.what})", spans)


def _disputed_sides(talk: Talk) -> Iterator[Raised]:
    """ "It comes out on the left." "It's the right on the newer ones." Two neighbouring lines, one of which disputes."""
    lines = range(len(talk.transcript.lines) - 1)
    for line in lines:
        if line in talk.chatter:
            continue
        for following in (line + 1, line + 2):
            if following >= len(talk.transcript.lines):
                break
            here, there = talk.sentences_of(line), talk.sentences_of(following)
            pair = _opposed(talk, here, there)
            if pair and not there[0].asks:
                one, other, sides = pair
                spans = tuple((talk.word(s.start), talk.word(s.end - 1)) for s in (one, other))
                yield Raised("conflict", f"side: {sides[0]} or {sides[1]}", f"Which side is right, {sides[0]} or {sides[1]}? \u201c{text_of(talk.doc, other.start, other.end)}\u201d", spans)
                break


def _opposed(talk: Talk, here: Sequence[Sentence], there: Sequence[Sentence]) -> tuple[Sentence, Sentence, tuple[str, str]] | None:
    for other in there:
        text = talk.tape(other.start, other.end).text
        if not _DISPUTES.search(text):
            continue
        said = [m.group("side") for m in _SIDES.finditer(text)]
        for one in here:
            before = [m.group("side") for m in _SIDES.finditer(talk.tape(one.start, one.end).text)]
            for a in before:
                for b in said:
                    if {a, b} in ({"left", "right"}, {"front", "rear"}, {"nearside", "offside"}) and re.search(r"the|on", text):
                        return one, other, (a, b)
    return None
