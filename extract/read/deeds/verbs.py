"""Which verbs are deeds, and the words that belong to one."""

from spacy.tokens import Doc, Token

from vouchbook.extract.read.deeds.deed import Deed, Form
from vouchbook.extract.read.phrases import PARTICLES
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import BODY

SOFT = frozenset(
    """
    just then always first simply also only really slowly gently carefully quickly straight still please both now
    actually
    """.split()
)
"""Words that may stand before the verb of a deed: "you just slowly lift"."""

NO_DEED = frozenset(
    """
    be have know think mean see hear smell like love hate seem say guess suppose hope thank mind forget remember wonder
    believe understand imagine agree notice lose want need happen matter work cost sell buy talk speak answer laugh film
    record live last become belong contain depend die exist fail fit miss own prefer recognise recognize resemble stink
    stand count figure reckon call name look feel do tend used going go come sit drive ai might may can could will would
    should shall must let's end finish start carry run weigh hurt kill burn explode break shear crack bet swear owe win
    cry mention discuss promise show read ignore disregard
    """.split()
)
"""Base forms that tell rather than instruct, unless :func:`is_deed` finds the form in which they do instruct."""

_DEED_BEFORE = {
    # verb: the next word with which it is a deed; "look for the tag", not "looks good"
    "look": "for through under behind in",
    "go": "round in to for under down up",
    "run": "down up the his your it all",
    "stand": "it the back clear",
    "sit": "it the",
    "start": "with at from",
    "break": "the it that this them a one glass out",
    "feel": "for under behind along",
    "read": "the off",
    "call": "the us them your control me",
    "crack": "it the them that open off your",
    "drive": "it the out",
    "come": "at in up from round",
    "walk": "out round away up",
    "tell": "em 'em them everybody people him her control the your whoever anybody",
}
_NEXT_WORDS = {verb: frozenset(words.split()) for verb, words in _DEED_BEFORE.items()}
_NEAR = 6
"""Tokens from the verb within which what completes "have" and "let" stands."""


def is_deed(doc: Doc, at: int, end: int) -> bool:
    """Whether the verb at ``at`` of a clause that ends at ``end`` is something one does to the machine."""
    lemma = doc[at].lemma_.lower()
    words = [token.lower_ for token in doc[at + 1 : end]]
    following = words[0] if words else ""
    if lemma == "get":  # "get it off the hook", "get behind it"; not "you get a lamp"
        return following in {"out", "off", "back", "under", "in"} or any(
            word in PARTICLES | {"under", "behind", "to", "onto"} for word in words[1:]
        )
    if lemma == "let":  # "let it run down", "let go"
        return following == "go" or any(token.tag_ == "VB" for token in doc[min(at + 2, end) : min(end, at + _NEAR)])
    if lemma == "have":  # "have that cover off"
        return any(word in {"out", "off", "open", "away"} for word in words[1 : _NEAR - 1])
    if lemma in {"watch", "mind"}:  # "watch the gauge"; "mind your fingers" warns
        return not any(word in BODY | {"floor", "step", "edge", "out"} for word in words)
    if lemma in {"hang", "hold", "come", "carry"} and following == "on":  # "hold on to the rail"; not "hold on"
        return words[1:2] == ["to"]
    if lemma == "wait":  # "wait for the lamp", "wait ten minutes"; not "wait a bit"
        return following in {"", "for", "until", "till"} or any(token.like_num for token in doc[at + 1 : end])
    if lemma == "take":  # "take the bolts out"; not "take as long as you like", "take care"
        return following not in {"as", "long", "ages", "care", "your", "part"} or (
            "time" not in words and following == "your"
        )
    if lemma in _NEXT_WORDS:
        return following in _NEXT_WORDS[lemma]
    return lemma not in NO_DEED


def with_particle(doc: Doc, verb: int, end: int, form: Form) -> Deed:
    """The deed with the particle next to its verb ("pull out the plug"), or with what is let happen ("let it cool")."""
    lemma = doc[verb].lemma_.lower()
    rest = verb + 1
    if lemma == "let":
        done = next((i for i in range(rest + 1, min(end, rest + _NEAR)) if doc[i].tag_ == "VB"), None)
        if done is not None:
            return Deed(form, verb, f"let {doc[done].lemma_.lower()}", done + 1, (rest, done))
    if rest < end and doc[rest].lower_ in PARTICLES and _completes(doc, rest, end):
        return Deed(form, verb, f"{lemma} {doc[rest].lower_}", rest + 1)
    return Deed(form, verb, lemma, rest)


def _completes(doc: Doc, at: int, end: int) -> bool:
    """Whether a particle belongs to the verb: "pull out the plug", "lift off"; not "climb in the cab", a place."""
    if doc[at].tag_ == "RP" or at + 1 >= end:
        return True
    return doc[at].tag_ == "RB" and doc[at + 1].tag_ in {"DT", "PRP$", "PRP", "NN", "NNS", "JJ", "CC", "IN"}


def is_verb_of_pack(talk: Talk, token: Token) -> bool:
    """Whether the packs know the word as a verb, whatever the tagger takes it for."""
    return any(talk.mentions_in(token.i, token.i + 1, "verb"))
