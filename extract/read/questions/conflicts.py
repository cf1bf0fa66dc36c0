"""Two statements of one talk that disagree: a wait, a distance, a number of things, a size, a side.

The value that they dispute is left off the items until a person has looked.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised, WordSpan
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import as_size
from vouchbook.models.quantities import Quantity

_NO_WAIT = words_pattern(
    r"ago|old|last|every|away|years?|older|since|took|takes|took me|warranty|shift|lunch|week|"
    r"month|quarter|hold (?:it|that|the \w+)|press (?:it|that)|late|drive"
)
_WAITS = words_pattern(
    r"(?:wait|waits|waiting|give|leave|leaves|before|discharge|bleed|down|your|yours|until|till|"
    r"so|then|after|coasts?|stay|least|minimum)"
)
_KEEPS_BACK = words_pattern(
    r"(?:back|away|off|clear|from|everybody|everyone|distance|stand|fog|spray|jet|metres|feet|"
    r"yards|nearer|closer|further)"
)
_SIDE = re.compile(
    r"(?<!\S)(?:on |to |at |from |the |its |your )*(?P<side>left|right|nearside|offside|front|"
    r"rear|clockwise|anticlockwise|up|down)(?: hand)?(?: side)?(?!\S)"
)
_DISPUTES = words_pattern(
    r"no ,? ?(?:it|that|they|he|she|the|not)(?: 's| is| was)?", r"(?:it|that|they)(?: 's| is| are| 're) (?:the |on the |on |\w+ )?(?:other|right|left|newer|"
                                                                r"older|wrong)(?: \w+)*",
    r"swapped|they changed|changed (?:it|that)|you said|thought (?:it|you|that)|i do n't know what i said|"
    r"that 's not what|book says|manual says|are you sure|i 'd have to (?:look|check)|did they",
    r"^(?:no ,? )?(?:to|on) the (?:left|right)",
)  # fmt: skip
_OPPOSITE = ({"left", "right"}, {"front", "rear"}, {"nearside", "offside"}, {"clockwise", "anticlockwise"})
_SAYS_SIZE = words_pattern(
    r"(?:those|they|that|it|them|these|this)(?: 's| is| are| 're)? .*",
    r"(?:no|nope|nah|never)(?: ,)? .*",
    r"^\S+ ?\.?$",
    r".*\d.*|.*(?:teens?|tys?|tens|twos|fours|fives|sixes|sevens|eights|nines|threes)",
)
_NEAR_LINES = 3
_MOST = 60


@dataclass(frozen=True, slots=True)
class _Claim:
    """A value of ``what`` said in ``sentence``, by the words ``first`` to ``last``."""

    what: str
    quantity: Quantity
    sentence: Sentence
    first: int
    last: int
    amount: float


def conflicts(talk: Talk) -> Iterator[Raised]:
    """One question for each pair of statements that cannot both be true."""
    claims = list(_claims(talk))
    taken: set[str] = set()
    for number, claim in enumerate(claims):
        for other in claims[number + 1 :]:
            if (
                claim.what == other.what
                and claim.what not in taken
                and other.sentence.line != claim.sentence.line
                and _differ(claim, other)
            ):
                taken.add(claim.what)
                yield _conflict(talk, claim, other)
    yield from _disputed_sizes(talk)
    yield from _disputed_sides(talk)


def _claims(talk: Talk) -> Iterator[_Claim]:
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.asks:
            continue
        text = talk.tape(sentence.start, sentence.end).text
        for value in talk.values_in(sentence.start, sentence.end):
            quantity = value.quantity
            if not value.is_usable or quantity.value is None or quantity.upper is not None or value.is_asked:
                continue
            said = (quantity, sentence, value.first, value.last)
            if (
                quantity.dimension == "time"
                and _WAITS.search(text)
                and not _NO_WAIT.search(text)
                and _seconds(quantity) >= 60
            ):
                yield _Claim("wait", *said, _seconds(quantity))
            elif (
                quantity.dimension == "length"
                and quantity.unit in {"m", "[ft_i]", "[yd_i]"}
                and quantity.value >= 5
                and _KEEPS_BACK.search(text)
            ):
                yield _Claim(f"distance in {quantity.unit}", *said, quantity.value)
            elif (
                quantity.dimension in {"count", "number"}
                and quantity.unit is None
                and 2 <= quantity.value <= _MOST
                and (what := _counted(talk, sentence, value.last))
            ):
                yield _Claim(f"number of {what}", *said, quantity.value)


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
            mentions = list(talk.mentions_in(max(token + 1, at - 2), at + 1, "part"))
            return mentions[-1].entry.term if mentions and mentions[-1].entry.term not in _MANY else None
        if doc[at].tag_ not in {"JJ", "NN", "VBN"}:
            return None
    return None


_MANY = frozenset(["wheel", "door", "window", "tyre", "tire", "axle", "seat", "panel", "cover", "cable"])
"""Of these a machine has several sets; two numbers of them need not disagree."""


def _seconds(quantity: Quantity) -> float:
    factor = {"s": 1, "min": 60, "h": 3600, "d": 86400}.get(quantity.unit or "", 0)
    return (quantity.value or 0) * factor


def _differ(one: _Claim, other: _Claim) -> bool:
    """Whether two values of one thing disagree; far apart they speak of different things ("five minutes", "two days")."""
    return one.amount != other.amount and max(one.amount, other.amount) <= 6 * min(one.amount, other.amount)


def _conflict(talk: Talk, one: _Claim, other: _Claim) -> Raised:
    about = f"{one.what}: {one.quantity.normal} or {other.quantity.normal}"
    spans = tuple(_words(talk, c.sentence) for c in (one, other))
    ask = f"Which is right, {one.quantity.normal} or {other.quantity.normal}? ({one.what.split(' in ')[0]})"
    return Raised("conflict", about, ask, spans, disputed=((one.first, one.last), (other.first, other.last)))


def _words(talk: Talk, sentence: Sentence) -> WordSpan:
    return talk.word(sentence.start), talk.word(sentence.end - 1)


def _disputed_sizes(talk: Talk) -> Iterator[Raised]:
    """ "Deep fifteen." "Those are eighteens." Two people, one fastener, two sizes, within a few lines."""
    said: list[tuple[int, str | None, Quantity, Sentence, WordSpan]] = []
    for sentence in talk.sentences:
        if sentence.asks or sentence.line in talk.askers or sentence.line in talk.chatter:
            continue
        text = talk.tape(sentence.start, sentence.end).text
        for value in talk.values_in(sentence.start, sentence.end):
            size = None if value.is_drive else as_size(value)
            if (
                size is None
                or (size.value is not None and size.value < 5)
                or (
                    not value.unit_said
                    and not (
                        value.is_plural
                        or _SAYS_SIZE.search(text)
                        or any(talk.mentions_in(sentence.start, sentence.end, "tool", "fastener"))
                    )
                )
            ):
                continue
            voice = talk.voice(sentence.line)
            for line, other_voice, other, place, words in reversed(said):
                if sentence.line - line > _NEAR_LINES:
                    break
                if (
                    voice is None
                    or other_voice in {None, voice}
                    or not _same_kind(other, size)
                    or sentence.line == line
                ):
                    continue
                if other.normal != size.normal and sentence.end - sentence.start <= 12:
                    ask = f"Which size is right, {other.normal} or {size.normal}?"
                    spans = (_words(talk, place), _words(talk, sentence))
                    yield Raised(
                        "conflict",
                        f"size: {other.normal} or {size.normal}",
                        ask,
                        spans,
                        disputed=(words, (value.first, value.last)),
                    )
                break
            said.append((sentence.line, voice, size, sentence, (value.first, value.last)))


def _same_kind(one: Quantity, other: Quantity) -> bool:
    return one.normal[:1].isdigit() == other.normal[:1].isdigit() or not other.unit_said


def _disputed_sides(talk: Talk) -> Iterator[Raised]:
    """ "It comes out on the left." "It's the right on the newer ones." A line that disputes the one or two before it."""
    for line in range(1, len(talk.transcript.lines)):
        if line in talk.chatter or not talk.sentences_of(line) or talk.sentences_of(line)[0].asks:
            continue
        pair = next(
            (
                p
                for back in (1, 2)
                if line >= back and (p := _opposed(talk, talk.sentences_of(line - back), talk.sentences_of(line)))
            ),
            None,
        )
        if pair:
            one, other, (first, second) = pair
            one = _first_said(talk, one, first)
            ask = f"Which side is right, {first} or {second}? \u201c{text_of(talk.doc, other.start, other.end)}\u201d"
            yield Raised("conflict", f"side: {first} or {second}", ask, (_words(talk, one), _words(talk, other)))


def _first_said(talk: Talk, sentence: Sentence, side: str) -> Sentence:
    """Where the side was first told of the same thing, if ``sentence`` only sums up."""
    nouns = {t.lemma_.lower() for t in talk.doc[sentence.start : sentence.end] if t.pos_ == "NOUN"} - {
        "side",
        "hand",
        "left",
        "right",
    }
    for earlier in talk.sentences:
        if earlier.number >= sentence.number:
            break
        own = {t.lemma_.lower() for t in talk.doc[earlier.start : earlier.end] if t.pos_ == "NOUN"}
        if (
            len(nouns & own) >= 1
            and any(m.group("side") == side for m in _SIDE.finditer(talk.tape(earlier.start, earlier.end).text))
            and sentence.line - earlier.line > 4
        ):
            return earlier
    return sentence


def _opposed(
    talk: Talk, here: Sequence[Sentence], there: Sequence[Sentence]
) -> tuple[Sentence, Sentence, tuple[str, str]] | None:
    for other in there:
        text = talk.tape(other.start, other.end).text
        if not _DISPUTES.search(text) or other.asks:
            continue
        said = [m.group("side") for m in _SIDE.finditer(text)]
        for one in here:
            before = [m.group("side") for m in _SIDE.finditer(talk.tape(one.start, one.end).text)]
            for a in before:
                for b in said:
                    if {a, b} in _OPPOSITE:
                        return one, other, (a, b)
    return None
