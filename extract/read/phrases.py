"""Noun phrases and places in a Doc, by tags: the parser stumbles over loose talk, the tags rarely do."""

from spacy.tokens import Doc, Token

from vouchbook.extract.read.tags import DETERMINERS, NOUNS

_INSIDE = NOUNS | DETERMINERS | frozenset({"PDT", "CD", "JJ", "JJR", "JJS", "HYPH", "POS", "ADD", "AFX", "FW", "LS"})
_SHAPERS = frozenset({"VBN", "VBG", "VBD"})
"""Verbs that describe a thing: "the bolted cover", "a hanging cable"."""

_POINTERS = frozenset(
    "the a an this that these those your my his her its their our some any each every all both another other".split()
)
NAMES_NOTHING = (_POINTERS - {"other", "both"}) | {"of", "them"}

PARTICLES = frozenset(
    "off out up down on in back over away apart open shut closed across round through aside along forward home".split()
)
"""Words that complete a verb: "push in", "swing home"."""

_SIDES = frozenset("left right top bottom back front next".split())
_LEAD_ANYWHERE = frozenset("to from off up down over by at through across round past out along around".split())
"""Words that open a place only before a thing: "up the mast", "off the rail"; not "up slowly", "take it off"."""
_SPATIAL = frozenset(
    """
    under behind above below beneath beside between inside outside underneath near against opposite within beyond
    alongside towards toward onto into underside
    """.split()
)
"""Words that always open a place, whatever follows them."""
_COMPLETE = frozenset("underneath inside outside behind".split())
"""Places by themselves: "it's underneath"."""
_NOT_IN_OR_ON = frozenset("it them case fire hand".split())
""" "On it", "in case", "on fire", "in hand" tell no place."""
_WHERE_HEADS = frozenset(
    """
    side end corner front back rear top bottom middle centre center left right underside edge inside outside nose tail
    floor wall roof door deck level height
    """.split()
)

_FILLERS = frozenset(
    "and but so then well okay ok yeah yes aye also plus oh because cause cos 'cause 'cos um er".split()
)
_FILLERS_BEFORE_PAUSE = frozenset("right now look listen see mind".split())
_TORN = frozenset("and but so or because cause the a an".split())
"""Words that nothing can end with."""


def is_at_once(doc: Doc, at: int, end: int) -> bool:
    """Whether "straight away" or "right away" begins at token ``at``: it tells when, and moves nothing away."""
    return at + 1 < end and doc[at].lower_ in {"straight", "right"} and doc[at + 1].lower_ == "away"


def noun_phrase(doc: Doc, at: int, end: int) -> int:
    """Where the noun phrase that begins at ``at`` ends (exclusive), or ``at`` when none begins there.

    "the two little black levers" is one; "of" does not extend it.
    """
    after_noun = at
    for i in range(at, end):
        if doc[i].tag_ in NOUNS or (doc[i].lower_ in {"one", "ones"} and i > at):
            after_noun = i + 1
        elif not _stands_inside(doc, i, end, has_noun=after_noun > at):
            break
    return after_noun


def _stands_inside(doc: Doc, i: int, end: int, *, has_noun: bool) -> bool:
    """Whether a word that is no noun may stand in a noun phrase; behind a noun no other phrase may open."""
    token = doc[i]
    if token.tag_ in _SHAPERS:
        return i + 1 < end and doc[i + 1].tag_ in _INSIDE - DETERMINERS
    if token.tag_ in DETERMINERS | {"PDT"}:
        return not has_noun
    return token.tag_ in _INSIDE or (token.text == "-" and has_noun) or token.lower_ in {"very", "little", "big"}


def with_of(doc: Doc, at: int, end: int) -> int:
    """The end of the noun phrase at ``at``, carried on over "of" and "for" ("the lid of the battery box")."""
    stop = noun_phrase(doc, at, end)
    while stop > at and stop < end - 1 and doc[stop].lower_ in {"of", "for"}:
        following = noun_phrase(doc, stop + 1, end)
        if following == stop + 1:
            break
        stop = following
    return stop


def is_place_start(doc: Doc, at: int, end: int) -> bool:
    """Whether a place is told from here: "under the seat", "left of the door", "top left", "side of the rack"."""
    word = doc[at].lower_
    following = doc[at + 1] if at + 1 < end else None
    if word in _SIDES:
        return _side_tells_place(word, following)
    if word in _LEAD_ANYWHERE:
        return following is not None and _leads_to_thing(following)
    if word in {"in", "on"}:
        return following is not None and following.lower_ not in _NOT_IN_OR_ON
    if word in _SPATIAL:
        return following is not None or word in _COMPLETE
    if word in _WHERE_HEADS or (word in _POINTERS and following is not None and following.lower_ in _WHERE_HEADS):
        return any(token.lower_ == "of" for token in doc[at : min(end, at + 4)])
    return False


def _side_tells_place(word: str, following: Token | None) -> bool:
    """ "left of the door", "top left", "right" at the end; not "the right size", "back" alone, "next time"."""
    if following is None:
        return word not in {"back", "next"}
    beside = following.lower_ in {
        "of", "to", "side", "hand", "corner", "left", "right", "rear", "front", "by",
    }  # fmt: skip
    return beside or following.tag_ == "IN"


def _leads_to_thing(following: Token) -> bool:
    if following.lower_ in {"there", "here"}:
        return True
    is_thing = following.tag_ in DETERMINERS | {"NN", "NNS", "JJ", "CD", "IN", "NNP"}
    return is_thing and following.lower_ not in {"all", "hand"}


def first_place(doc: Doc, start: int, end: int) -> int | None:
    """The index at which a place begins between ``start`` and ``end``, or None."""
    return next((i for i in range(start, end) if is_place_start(doc, i, end)), None)


def text_of(doc: Doc, start: int, end: int) -> str:
    """The words of tokens ``start`` to ``end`` as a field of an item.

    Without punctuation around them, and without the capital that only opens a sentence.
    """
    while start < end and (doc[start].is_punct or doc[start].is_space):
        start += 1
    while end > start and doc[end - 1].is_punct:
        end -= 1
    text = " ".join("".join(token.text + token.whitespace_ for token in doc[start:end]).split())
    if start < end and _is_capital_by_place(doc[start]):
        text = text[:1].lower() + text[1:]
    return text


def _is_capital_by_place(token: Token) -> bool:
    """ "Lift" at the start of a sentence; not "P V" or a name."""
    return bool(token.is_sent_start) and token.tag_ not in {"NNP", "NNPS"} and not token.text.isupper()


def thing(doc: Doc, start: int, end: int) -> str:
    """A noun phrase without its determiner: "the red handle" is "red handle"."""
    while start < end and (doc[start].lower_ in NAMES_NOTHING or doc[start].is_punct):
        start += 1
    return text_of(doc, start, end)


def told_span(doc: Doc, start: int, end: int) -> tuple[int, int]:
    """``start`` to ``end`` without the fillers that lead to the point, and without a word that only begins more."""
    first, last = start, end
    while first < last - 1:
        is_filler = doc[first].lower_ in _FILLERS or doc[first].is_punct
        if not is_filler and not (doc[first].lower_ in _FILLERS_BEFORE_PAUSE and doc[first + 1].is_punct):
            break
        first += 1
    while last > first + 1 and (doc[last - 1].lower_ in _TORN or doc[last - 1].is_punct):
        last -= 1
    return first, last
