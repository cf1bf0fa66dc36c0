"""Places: which words tell where something is, how far they reach, and which look-alikes tell nothing."""

import re

from vouchbook.extract.read.phrases import is_place_start, noun_phrase, text_of
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import BODY, PRONOUNS

_SIDES = frozenset(
    [
        "left",
        "right",
        "front",
        "rear",
        "back",
        "top",
        "bottom",
        "middle",
        "nearside",
        "offside",
        "driver",
        "passenger",
        "near",
        "off",
        "inside",
        "outside",
        "upper",
        "lower",
        "first",
        "second",
        "ground",
    ]
)
_SIDE_HEADS = frozenset(
    [
        "side",
        "end",
        "corner",
        "door",
        "floor",
        "height",
        "level",
        "wall",
        "panel",
        "left",
        "right",
        "front",
        "rear",
        "back",
        "top",
        "bottom",
        "middle",
        "hand",
        "up",
        "down",
        "high",
        "low",
        "fender",
        "quarter",
        "wing",
        "area",
        "compartment",
        "well",
        "bay",
    ]
)
_LONGEST = 14
"""Tokens; a place that takes more words than this has run into the next thing."""
_NO_PLACE = re.compile(
    # "in your face", "on its own", "in one go", "on heat", "in a minute", "in there with a flag on"
    r"^(?:right |just |up |down |out |back |over |off )*(?:in|on|at|to|from|off|with|for|by|through|"
    r"into|onto|of|out|up|down|over)(?: |$)"
    r"(?:(?:your|my|his|her|somebody 's|someone 's|their) (?:\w+ )?(?:"
    + "|".join(sorted(BODY | {"way", "road", "favour", "own"}))
    + r")(?!\w)|"
    r"(?:its|their|his|her|my|your) own|(?:it|that|this|them|those|these|there|here|one|two|three|"
    r"four|five|six|me|you|him)(?!\w)(?! (?:side|end|corner|pipe|cover|panel|box|door|wall|flap))|"
    r"(?:one|a) (?:go|time|bit|minute|second|moment|tin|sense|hurry|belt|string|strings|clip|clips|"
    r"bolt|bolts|screw|screws)(?!\w)|(?:heat|pressure|fire|purpose|time|hand|hands|case|general|"
    r"demand|charge|again|deep|full|half|when|if|with|by|the go|the move|the way|the screen|the day|"
    r"the night|the right)$|"
    r"(?:the )?(?:morning|evening|afternoon|night|spring|summer|winter|autumn|end of the day|film|"
    r"video|book|manual|moment|old|newer|older|ring))"
)
_PLACE_VERBLESS = frozenset({"VBZ", "VBP", "VBD", "MD", "VB"})


def has_verb(talk: Talk, start: int, end: int) -> bool:
    """Whether a finite verb stands in tokens ``start`` to ``end``."""
    return any(t.tag_ in _PLACE_VERBLESS for t in talk.doc[start:end])


def is_place_only(talk: Talk, clause: Clause) -> bool:
    """Whether a clause tells a place and nothing else: "behind the wheel", "driver's footwell", "top left", "my left"."""
    return clause.marker is None and is_place_phrase(talk, clause.body, clause.end)


def is_place_phrase(talk: Talk, start: int, end: int) -> bool:
    """Whether tokens ``start`` to ``end`` are a place without a verb."""
    doc = talk.doc
    if start >= end or has_verb(talk, start, end) or end - start > _LONGEST:
        return False
    if is_place_start(doc, start, end):
        return not _NO_PLACE.match(talk.tape(start, end).text)
    words = [t.lower_ for t in doc[start:end]]
    if words[0] in {"on", "in", "at", "to"}:
        return False
    head = doc[end - 1].lower_
    sided = any(w in _SIDES or w in {"'s"} for w in words[:-1]) or words[0] in {"my", "his", "your"}
    if head in _SIDE_HEADS and (
        sided
        or (
            len(words) <= 2
            and words[0] in _SIDES | {"shoulder", "waist", "belt", "knee", "head", "cargo", "up", "down"}
        )
    ):
        return True
    return (
        any(m.end >= end and m.entry.kind == "place" for m in talk.mentions_in(start, end))
        and noun_phrase(doc, start, end) == end
    )


def place_text(talk: Talk, start: int, end: int) -> str | None:
    """The place in words, or None when it is none: too long, a body, a time, a pronoun, or only a particle."""
    end = _cut(talk, start, end)
    text = text_of(talk.doc, start, end)
    line = talk.tape(start, end).text
    if _NO_PLACE.match(line):
        return None
    words = line.split()
    if len(words) < 2 and line not in {"underneath", "outside", "inside"}:
        return None
    nouns = [t for t in talk.doc[start:end] if t.tag_ in {"NN", "NNS", "NNP", "NNPS"} or t.lower_ in _SIDES]
    if not nouns or all(t.lower_ in PRONOUNS for t in nouns) or (words[0] == "from" and "to" not in words):
        return None
    return text


def _cut(talk: Talk, start: int, end: int) -> int:
    """Ends a place before a new statement that captions without punctuation run into it."""
    doc = talk.doc
    for at in range(start + 2, min(end, start + _LONGEST)):
        token = doc[at]
        if token.tag_ in {"VBZ", "VBP", "MD", "VBD"} or (
            token.lower_ in {"and", "you", "it", "there", "that", "so"}
            and at + 1 < end
            and doc[at + 1].tag_ in {"VBZ", "VBP", "MD", "VBD", "DT", "PRP"}
        ):
            return at
        if (
            token.tag_ == "CD"
            and token.nbor(-1).tag_ not in {"IN", "DT", "CD", "CC", "JJ"}
            and doc[at - 1].lower_ not in {"the", "number"}
        ):
            return at
    return min(end, start + _LONGEST)
