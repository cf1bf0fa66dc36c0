"""Sides that two lines dispute: "it leaves on the left", and then "it's the right on the older ones"."""

import re
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_SIDE = re.compile(
    # not "right here", "to the right of the door", "anti-clockwise" for "clockwise"
    r"(?<!\S)(?<!anti - )(?:on |to |at |from |the |its |your )*(?P<side>left|right|nearside|offside|front|"
    r"back|rear|clockwise|anticlockwise|anti ?- ?clockwise|counter ?-? ?clockwise|up|down|forward)"
    r"(?: hand)?(?: side)?(?!\S)(?! (?:of|here|there|now|then)(?!\S))"
)
_PLAIN = {"back": "rear", "anti-clockwise": "anticlockwise", "anti - clockwise": "anticlockwise"}
_ONLY_A_SIDE = 4
"""Tokens of a sentence that says a side and hardly more: "Anticlockwise, Rob."."""
_ALSO_ALL_RIGHT = frozenset({"right", "back", "up", "down"})
"""Words for a side that alone may say "yes" or tell a deed."""
_OPPOSITE = (
    {"left", "right"},
    {"front", "rear"},
    {"forward", "rear"},
    {"nearside", "offside"},
    {"clockwise", "anticlockwise"},
)
_DISPUTES = words_pattern(
    # "no, it's on the right", "no, not the front"
    r"no ,? ?(?:it|that|they|he|she|the|not)(?: 's| is| was)?",
    # "it's the other side", "they're the wrong way round", "that's on newer ones"
    r"(?:it|that|they)(?: 's| is| are| 're) (?:the |on the |on |\w+ )?(?:other|right|left|newer|older|wrong)(?: \w+)*",
    # "they swapped it", "you said left", "the book says right", "are you sure?"
    r"swapped|they changed|changed (?:it|that)|you said|thought (?:it|you|that)|"
    r"that 's not what|book says|manual says|are you sure|i 'd have to (?:look|check)|did they",
    # "No, to the left."
    r"^(?:no ,? )?(?:to|on) the (?:left|right)(?! of(?!\S))",
    # "No, right. Right is shut."
    r"^(?:no|nah|nope) ,? ?(?:to the |on the |it 's )?(?:left|right|front|rear|clockwise|anticlockwise)(?= [,.!]|$)",
    # "It goes to the right, Len."
    r"it (?:goes|turns|comes|leaves|points) (?:out )?(?:to|on) the (?:left|right)",
)
_LINES_BACK = (1, 2)
_SUMS_UP_AFTER = 4
"""Lines; a side first told further back than this is the one in question, the nearer line only sums up."""
_NO_THINGS = frozenset("side hand left right".split())


def conflicting_sides(talk: Talk) -> Iterator[Raised]:
    """One question for each line that disputes a side told in the one or two before it."""
    for line in range(1, len(talk.transcript.lines)):
        sentences = talk.sentences_of(line)
        if line in talk.chatter or not sentences or sentences[0].asks:
            continue
        earlier = (talk.sentences_of(line - back) for back in _LINES_BACK if back <= line)
        pair = next(filter(None, (_opposed(talk, before, sentences) for before in earlier)), None)
        if pair:
            one, other, first, second = pair
            one = _first_told(talk, one, first)
            said = text_of(talk.doc, other.start, other.end)
            yield Raised(
                "conflict",
                f"side: {first} or {second}",
                f"Which side is right, {first} or {second}? \u201c{said}\u201d",
                tuple(words_of(talk, s.start, s.end) for s in (one, other)),
            )


def _opposed(
    talk: Talk, before: Sequence[Sentence], disputing: Sequence[Sentence]
) -> tuple[Sentence, Sentence, str, str] | None:
    """The first sentence that disputes one of those ``before``, with it and the sides that each tells."""
    for other in disputing:
        is_disputed = _DISPUTES.search(talk.tape(other.start, other.end).text) or _says_only_a_side(talk, other)
        if other.asks or not is_disputed:
            continue
        for one in before:
            for first in _sides(talk, one):
                for second in _sides(talk, other):
                    if {first, second} in _OPPOSITE:
                        return one, other, first, second
    return None


def _says_only_a_side(talk: Talk, sentence: Sentence) -> bool:
    """Whether another voice answers a line that asks nothing with a side alone: "Front!"."""
    line, voice = sentence.line, talk.voice(sentence.line)
    before = talk.sentences_of(line - 1)
    if voice is None or voice == talk.voice(line - 1) or not before or before[-1].asks:
        return False
    is_first = talk.sentences_of(line)[0] is sentence and sentence.end - sentence.start <= _ONLY_A_SIDE
    sides = _sides(talk, sentence)
    return is_first and len(sides) == 1 and sides[0] not in _ALSO_ALL_RIGHT


def _sides(talk: Talk, sentence: Sentence) -> list[str]:
    found = (match.group("side") for match in _SIDE.finditer(talk.tape(sentence.start, sentence.end).text))
    return [_PLAIN.get(side, side) for side in found]


def _first_told(talk: Talk, sentence: Sentence, side: str) -> Sentence:
    """Where the side was first told of the same thing, if ``sentence`` only sums up."""
    things = _things(talk, sentence) - _NO_THINGS
    for earlier in talk.sentences[: talk.sentences.index(sentence)]:
        is_far = sentence.line - earlier.line > _SUMS_UP_AFTER
        if is_far and things & _things(talk, earlier) and side in _sides(talk, earlier):
            return earlier
    return sentence


def _things(talk: Talk, sentence: Sentence) -> set[str]:
    return {t.lemma_.lower() for t in talk.doc[sentence.start : sentence.end] if t.pos_ == "NOUN"}
