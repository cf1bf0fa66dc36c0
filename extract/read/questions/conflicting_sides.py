"""Sides that two lines dispute: "it leaves on the left", and then "it's the right on the older ones"."""

import re
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_SIDE = re.compile(
    r"(?<!\S)(?:on |to |at |from |the |its |your )*(?P<side>left|right|nearside|offside|front|"
    r"rear|clockwise|anticlockwise|up|down)(?: hand)?(?: side)?(?!\S)"
)
_OPPOSITE = ({"left", "right"}, {"front", "rear"}, {"nearside", "offside"}, {"clockwise", "anticlockwise"})
_DISPUTES = words_pattern(
    # "no, it's on the right", "no, not the front"
    r"no ,? ?(?:it|that|they|he|she|the|not)(?: 's| is| was)?",
    # "it's the other side", "they're the wrong way round", "that's on newer ones"
    r"(?:it|that|they)(?: 's| is| are| 're) (?:the |on the |on |\w+ )?(?:other|right|left|newer|older|wrong)(?: \w+)*",
    # "they swapped it", "you said left", "the book says right", "are you sure?"
    r"swapped|they changed|changed (?:it|that)|you said|thought (?:it|you|that)|"
    r"that 's not what|book says|manual says|are you sure|i 'd have to (?:look|check)|did they",
    # "No, to the left."
    r"^(?:no ,? )?(?:to|on) the (?:left|right)",
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
        if other.asks or not _DISPUTES.search(talk.tape(other.start, other.end).text):
            continue
        for one in before:
            for first in _sides(talk, one):
                for second in _sides(talk, other):
                    if {first, second} in _OPPOSITE:
                        return one, other, first, second
    return None


def _sides(talk: Talk, sentence: Sentence) -> list[str]:
    return [match.group("side") for match in _SIDE.finditer(talk.tape(sentence.start, sentence.end).text)]


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
