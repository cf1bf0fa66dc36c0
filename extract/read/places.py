"""Places: which words tell where something is, how far they reach, and which look-alikes tell nothing."""

import re

from spacy.tokens import Token

from vouchbook.extract.read.phrases import is_place_start, noun_phrase, text_of
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import FINITE_VERBS, NOUNS, VERBS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import BODY, PRONOUNS

_SIDES = frozenset(
    """
    left right front rear back top bottom middle nearside offside driver passenger near off inside outside upper lower
    first second ground
    """.split()
)
_SIDE_HEADS = frozenset(
    """
    side end corner door floor height level wall panel left right front rear back top bottom middle hand up down high
    low fender quarter wing area compartment well bay
    """.split()
)
""" "Driver's door", "top left", "rear offside corner" are places though no preposition says so."""
_HEIGHTS = frozenset("shoulder waist belt knee head cargo up down".split())
""" "Waist height", "up high"."""
_LONGEST = 14
"""Tokens; a place that takes more words than this has run into the next thing."""

_LEADS_IN = (
    r"(?:right |just |up |down |out |back |over |off )*"
    r"(?:in|on|at|to|from|off|with|for|by|through|into|onto|of|out|up|down|over)(?: |$)"
)
_NO_PLACE = re.compile(
    rf"{_LEADS_IN}(?:"
    # "in your face", "in his way"; "on its own"
    rf"(?:your|my|his|her|somebody 's|someone 's|their) (?:\w+ )?"
    rf"(?:{'|'.join(sorted(BODY))}|way|road|favour|own)(?!\w)|"
    r"(?:its|their|his|her|my|your) own|"
    # "on it", "from there", "to two"; not "behind this panel", "at that end"
    r"(?:it|that|this|them|those|these|there|here|one|two|three|four|five|six|me|you|him)(?!\w)"
    r"(?! (?:side|end|corner|pipe|cover|panel|box|door|wall|flap))|"
    # "in one go", "in a minute", "with a bolt"
    r"(?:one|a) (?:go|time|bit|minute|second|moment|tin|sense|hurry|belt|string|strings|clip|clips|"
    r"bolt|bolts|screw|screws)(?!\w)|"
    # "on heat", "at full", "on the move"; not "on the right hand"
    r"(?:heat|pressure|fire|purpose|time|hand|hands|case|general|demand|charge|again|deep|full|half|when|if|with|by|"
    r"the go|the move|the way|the screen|the day|the night|the right)$|"
    # "in the morning", "in the manual", "on the older ones"
    r"(?:the )?(?:morning|evening|afternoon|night|spring|summer|winter|autumn|end of the day|film|"
    r"video|book|manual|moment|old|newer|older|ring))"
)


def has_verb(talk: Talk, start: int, end: int) -> bool:
    """Whether tokens ``start`` to ``end`` state or order something: a verb that is more than a description."""
    return any(token.tag_ in VERBS for token in talk.doc[start:end])


def is_place_only(talk: Talk, clause: Clause) -> bool:
    """Whether a clause tells a place and nothing else: "behind the wheel", "driver's footwell", "top left"."""
    return clause.marker is None and is_place_phrase(talk, clause.body, clause.end)


def is_place_phrase(talk: Talk, start: int, end: int) -> bool:
    """Whether tokens ``start`` to ``end`` are a place without a verb."""
    if start >= end or end - start > _LONGEST or has_verb(talk, start, end):
        return False
    if is_place_start(talk.doc, start, end):
        return not _NO_PLACE.match(talk.tape(start, end).text)
    words = [token.lower_ for token in talk.doc[start:end]]
    if words[0] in {"on", "in", "at", "to"}:
        return False
    return _is_side(words) or _is_place_of_pack(talk, start, end)


def _is_side(words: list[str]) -> bool:
    """ "Driver's door", "my left", "waist height", "top"; not "battery door"."""
    if words[-1] not in _SIDE_HEADS:
        return False
    told = any(word in _SIDES or word == "'s" for word in words[:-1]) or words[0] in {"my", "his", "your"}
    return told or (len(words) <= 2 and words[0] in _SIDES | _HEIGHTS)


def _is_place_of_pack(talk: Talk, start: int, end: int) -> bool:
    named = any(m.end >= end and m.entry.kind == "place" for m in talk.mentions_in(start, end))
    return named and noun_phrase(talk.doc, start, end) == end


def place_text(talk: Talk, start: int, end: int) -> str | None:
    """The place in words, or None when it is none: a body, a time, a pronoun, or only a particle."""
    end = _end_of_place(talk, start, end)
    line = talk.tape(start, end).text
    words = line.split()
    if _NO_PLACE.match(line) or (len(words) < 2 and line not in {"underneath", "outside", "inside"}):
        return None
    names = [t for t in talk.doc[start:end] if t.tag_ in NOUNS or t.lower_ in _SIDES]
    if all(t.lower_ in PRONOUNS for t in names) or (words[0] == "from" and "to" not in words):
        return None
    return text_of(talk.doc, start, end)


def _end_of_place(talk: Talk, start: int, end: int) -> int:
    """Ends a place before a new statement that captions without punctuation run into it."""
    longest = min(end, start + _LONGEST)
    return next((at for at in range(start + 2, longest) if _opens_statement(talk.doc[at], end)), longest)


def _opens_statement(token: Token, end: int) -> bool:
    """A verb, "and the …", "it's …", or a number out of nowhere: "behind the panel three bolts"."""
    if token.tag_ in FINITE_VERBS:
        return True
    before = token.nbor(-1)
    if token.tag_ == "CD":
        return before.tag_ not in {"IN", "DT", "CD", "CC", "JJ"} and before.lower_ not in {"the", "number"}
    if token.lower_ in {"and", "you", "it", "there", "that", "so"} and token.i + 1 < end:
        return token.nbor(1).tag_ in FINITE_VERBS | {"DT", "PRP"}
    return False
