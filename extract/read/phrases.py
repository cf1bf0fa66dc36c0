"""Noun phrases and places in a Doc, by tags: the parser stumbles over loose talk, the tags rarely do."""

from collections.abc import Iterable

from spacy.tokens import Doc, Token

_INSIDE = frozenset(
    {"DT", "PDT", "PRP$", "CD", "JJ", "JJR", "JJS", "NN", "NNS", "NNP", "NNPS", "HYPH", "POS", "ADD", "AFX", "FW", "LS"}
)
_HEADS = frozenset({"NN", "NNS", "NNP", "NNPS"})
_SHAPERS = frozenset({"VBN", "VBG", "VBD"})
DETERMINERS = frozenset(
    [
        "the",
        "a",
        "an",
        "this",
        "that",
        "these",
        "those",
        "your",
        "my",
        "his",
        "her",
        "its",
        "their",
        "our",
        "some",
        "any",
        "each",
        "every",
        "all",
        "both",
        "another",
        "other",
    ]
)

SPATIAL = frozenset(
    [
        "in",
        "on",
        "under",
        "behind",
        "above",
        "below",
        "beneath",
        "beside",
        "between",
        "inside",
        "outside",
        "underneath",
        "over",
        "by",
        "near",
        "at",
        "against",
        "along",
        "around",
        "across",
        "through",
        "to",
        "off",
        "from",
        "opposite",
        "next",
        "left",
        "right",
        "top",
        "bottom",
        "back",
        "front",
        "up",
        "down",
        "within",
        "beyond",
        "past",
        "alongside",
        "towards",
        "toward",
        "onto",
        "into",
        "underside",
    ]
)
"""Words that open a place."""

PARTICLES = frozenset(
    [
        "off",
        "out",
        "up",
        "down",
        "on",
        "in",
        "back",
        "over",
        "away",
        "apart",
        "open",
        "shut",
        "closed",
        "across",
        "round",
        "through",
        "aside",
        "along",
        "forward",
        "home",
    ]
)

_WHERE_HEADS = frozenset(
    [
        "side",
        "end",
        "corner",
        "front",
        "back",
        "rear",
        "top",
        "bottom",
        "middle",
        "centre",
        "center",
        "left",
        "right",
        "underside",
        "edge",
        "inside",
        "outside",
        "nose",
        "tail",
        "floor",
        "wall",
        "roof",
        "door",
        "deck",
        "level",
        "height",
    ]
)


def noun_phrase(doc: Doc, at: int, end: int) -> int:
    """Where the noun phrase that begins at ``at`` ends (exclusive), or ``at`` when none begins there.

    "the two little black levers" is one; "of" does not extend it.
    """
    i, last_noun = at, at
    while i < end:
        token = doc[i]
        if token.tag_ in _HEADS or (token.lower_ in {"one", "ones"} and i > at):
            last_noun = i + 1
        elif token.tag_ in _SHAPERS:
            if i + 1 >= end or doc[i + 1].tag_ not in _INSIDE or doc[i + 1].tag_ in {"DT", "PRP$"}:
                break
        elif token.tag_ in {"DT", "PRP$", "PDT"} and last_noun > at:
            break
        elif token.tag_ not in _INSIDE and not (token.text == "-" and last_noun > at):
            if token.lower_ in {"very", "little", "big"}:
                i += 1
                continue
            break
        i += 1
    return last_noun


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
    """Whether a place is told from here: "under the seat", "left of the door", "top left", "side of the tower"."""
    token = doc[at]
    word = token.lower_
    following = doc[at + 1] if at + 1 < end else None
    if word in {"left", "right", "top", "bottom", "back", "front", "next"}:
        if following is None:
            return word not in {"back", "next"}
        return (
            following.lower_ in {"of", "to", "side", "hand", "corner", "left", "right", "rear", "front", "by"}
            or following.tag_ == "IN"
        )
    if word in {
        "to",
        "from",
        "off",
        "up",
        "down",
        "over",
        "by",
        "at",
        "back",
        "through",
        "across",
        "round",
        "past",
        "out",
        "along",
        "around",
    }:
        return following is not None and (
            (
                following.tag_ in {"DT", "PRP$", "NN", "NNS", "JJ", "CD", "IN", "NNP"}
                and following.lower_ not in {"all", "hand"}
            )
            or following.lower_ in {"there", "here"}
        )
    if word in {"in", "on"}:
        return (
            following is not None and following.lower_ not in {"it", "them", "case", "them,", "fire", "top,"} | {"hand"}
        ) or (word == "in" and False)
    if word in SPATIAL:
        return following is not None or word in {"underneath", "inside", "outside", "behind"}
    if word in _WHERE_HEADS or (word in DETERMINERS and following is not None and following.lower_ in _WHERE_HEADS):
        rest = {t.lower_ for t in doc[at : min(end, at + 4)]}
        return "of" in rest or word in {"underneath", "halfway"}
    return False


def first_place(doc: Doc, start: int, end: int) -> int | None:
    """The index at which a place begins between ``start`` and ``end``, or None."""
    return next((i for i in range(start, end) if is_place_start(doc, i, end)), None)


def text_of(doc: Doc, start: int, end: int) -> str:
    """The words of tokens ``start`` to ``end`` as a field of an item: no outer punctuation, no capital that only opens."""
    while start < end and (doc[start].is_punct or doc[start].is_space):
        start += 1
    while end > start and doc[end - 1].is_punct:
        end -= 1
    pieces = [token.text + token.whitespace_ for token in doc[start:end]]
    text = " ".join("".join(pieces).split())
    if (
        start < end
        and doc[start].is_sent_start
        and doc[start].tag_ not in {"NNP", "NNPS"}
        and not doc[start].text.isupper()
    ):
        text = text[:1].lower() + text[1:]
    return text


def thing(doc: Doc, start: int, end: int) -> str:
    """A noun phrase without its determiner: "the red handle" is "red handle"."""
    while start < end and (
        doc[start].lower_ in DETERMINERS - {"other", "both"}
        or doc[start].is_punct
        or doc[start].lower_ in {"of", "them"}
    ):
        start += 1
    return text_of(doc, start, end)


def lowers(tokens: Iterable[Token]) -> list[str]:
    """The tokens' words in lower case, apostrophes straightened."""
    return [token.lower_.replace("\u2019", "'") for token in tokens]
