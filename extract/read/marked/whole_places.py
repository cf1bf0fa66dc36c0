"""Whole places out of marked words: "behind the left seat", "under there", "five metres away"."""

from spacy.tokens import Doc, Token

from vouchbook.extract.read.marked.wholes import Span, is_noun
from vouchbook.extract.read.phrases import noun_phrase
from vouchbook.extract.read.tags import DETERMINERS, FINITE_VERBS, NOUNS
from vouchbook.extract.read.talk import Talk

_ENDS = frozenset(
    """
    there here inside outside underneath below above behind beneath left right back front top bottom up down away nearby
    forward aft rear upstairs downstairs overhead opposite centre center middle alongside nearside offside beside over
    high low out through across along around round apart ahead upright side end
    """.split()
)
"""Words that a place may end with, though they are no nouns."""
_ALONE = frozenset(
    """
    there here inside outside underneath below above behind beneath left right upstairs downstairs overhead opposite
    nearside offside alongside centre center upwind
    """.split()
)
"""Places of one word; "back", "up", "off" alone are the rest of a deed."""
_LEADS = frozenset(
    """
    in on at to under behind over above below beneath beside between inside outside underneath near against opposite
    within beyond alongside towards toward onto into from by off up down through round around across along of next
    out front past
    """.split()
)
"""Words that open a place, and those that may stand before them."""
_SIDES = frozenset(
    """
    left right front rear back top bottom middle nearside offside driver passenger near far off outside inside upper
    lower centre center first second third last ground each either both halfway
    """.split()
)
_WITH_IT = frozenset("behind under underneath above below beneath beside inside over opposite to of next in".split())
""" "Behind it" is a place; "on you", "with him" is none."""
_NUMBERED = frozenset("row level deck bay door number floor rack shelf axle car room unit zone landing".split())
_TRIMMED_BEFORE = frozenset("'s is are was were be and or but so that which it they sits sit".split())
_JOINS = frozenset({"and", "or"})
_TAKES_PLACE = frozenset({"IN", "TO", "RP"})
_REACHES = frozenset({"DT", "PRP$", "JJ", "JJR", "JJS", "CD", "PDT"})


def whole_place(talk: Talk, start: int, end: int) -> Span | None:
    """The place that marked tokens ``start`` to ``end`` belong to, from its preposition to its noun or adverb.

    None when no whole place can be made: a lone function word, a person, a thing without a preposition.
    """
    doc = talk.doc
    while start < end and (doc[start].is_punct or doc[start].lower_ in _TRIMMED_BEFORE):
        start += 1
    if start >= end:
        return None
    stop = _end(talk, start, _before_statement(doc, start, end))
    if stop is None:
        return None
    start = _begin(doc, start, stop)
    return (start, stop) if _is_place(doc, start, stop) else None


def _before_statement(doc: Doc, start: int, end: int) -> int:
    """Where another statement begins: "behind the lining, you've your …"."""
    for at in range(start + 1, end):
        is_subject = doc[at].lower_ in {"you", "it", "that", "there", "they", "he", "she", "we", "i"}
        verb_follows = at + 1 < len(doc) and (doc[at + 1].tag_ in FINITE_VERBS or doc[at + 1].lower_ == "'ve")
        if is_subject and verb_follows:
            return at
        if doc[at].tag_ in FINITE_VERBS - {"VBD"} and not is_noun(doc[at]):
            subject = next((t.left_edge.i for t in doc[at].lefts if t.dep_ in {"nsubj", "nsubjpass"}), at)
            return subject if subject > start else at
    return end


def _may_end(token: Token) -> bool:
    if token.lower_ in _ENDS or is_noun(token) or token.lower_ in {"one", "ones"}:
        return True
    return token.like_num and token.i > 0 and token.nbor(-1).lower_ in _NUMBERED


def _end(talk: Talk, start: int, end: int) -> int | None:
    """Where the place ends: carried on to the noun that it was cut before, or taken back to its last whole phrase."""
    doc = talk.doc
    clause = talk.clause_at(end - 1)
    limit = max(end, clause.end if clause else end)
    stop = end
    while stop > start and doc[stop - 1].is_punct:
        stop -= 1
    last = doc[stop - 1]
    if stop < limit and is_noun(last) and last.dep_ == "compound" and last.head.i == stop:
        stop += 1
    if not _may_end(doc[stop - 1]) or doc[stop - 1].lower_ in _LEADS:
        stop = _carried_on(doc, start, stop, limit)
    elif stop < limit and doc[stop].tag_ in NOUNS and doc[stop - 1].tag_ == "JJ":
        stop = noun_phrase(doc, stop, limit)  # "left" of "the left seat"
    if stop < limit and doc[stop].like_num and doc[stop - 1].lower_ in _NUMBERED:
        stop += 1
    while stop < limit - 1 and doc[stop].lower_ == "of":
        following = noun_phrase(doc, stop + 1, limit)
        if following <= stop + 1:
            break
        stop = following
    while stop > start and not (_may_end(doc[stop - 1]) or _is_it(doc, stop - 1)):
        stop -= 1
    return stop if stop > start else None


def _carried_on(doc: Doc, start: int, stop: int, limit: int) -> int:
    """The end of the phrase that "in the", "front and" or "behind the left" only begins."""
    first = stop
    while first > start and doc[first - 1].tag_ in _REACHES:
        first -= 1
    if doc[stop - 1].lower_ in _JOINS and stop < limit and doc[stop].lower_ in _ENDS:
        return stop + 1
    following = noun_phrase(doc, first, limit)
    if following > stop and is_noun(doc[following - 1]):
        return following
    if stop < limit and doc[stop].lower_ in {"there", "here", "left", "right", "back", "front", "it"}:
        return stop + 1
    return stop


def _is_it(doc: Doc, at: int) -> bool:
    is_pronoun = doc[at].lower_ in {"it", "them", "that", "this", "those", "these"}
    return is_pronoun and at > 0 and doc[at - 1].lower_ in _WITH_IT - {"in"}


def _begin(doc: Doc, start: int, stop: int) -> int:
    """Where the place begins: at the preposition that leads to it, or at the distance before "away"."""
    sentence = doc[start].sent.start
    if doc[start].lower_ in _LEADS and doc[start].tag_ in _TAKES_PLACE and doc[start].lower_ != "of":
        return start
    at = start
    while at > sentence:
        before = doc[at - 1]
        is_told = before.tag_ in NOUNS and before.dep_ in {"compound", "npadvmod"} and at <= before.head.i < stop
        if not (before.tag_ in _REACHES or is_told):
            break
        at -= 1
    if at > sentence and doc[at - 1].lower_ in _LEADS and doc[at - 1].tag_ in _TAKES_PLACE:
        at -= 1
        if at > sentence and doc[at].lower_ == "of" and (doc[at - 1].lower_ in _LEADS | _ENDS or is_noun(doc[at - 1])):
            at -= 1
            if at > sentence and doc[at - 1].tag_ in DETERMINERS:
                at -= 1
            if at > sentence and doc[at - 1].tag_ in _TAKES_PLACE:
                at -= 1
        return at
    return at if any(t.lower_ in _ENDS for t in doc[start:stop]) else start


def _is_place(doc: Doc, start: int, stop: int) -> bool:
    words = [token.lower_ for token in doc[start:stop] if not token.is_punct]
    if len(words) == 1:
        return words[0] in _ALONE
    if words[0] == "the" and len(words) == 2 and words[1] in {"back", "top"}:
        return False
    return any(word in _LEADS | _SIDES | _ENDS for word in words)
