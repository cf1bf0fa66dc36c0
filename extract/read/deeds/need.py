"""The need: "the cover has to come off", "that needs unplugging", "the lever wants pulling"."""

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.moved import moved, thing_first
from vouchbook.extract.read.deeds.verbs import NO_DEED, with_particle
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_NEEDS = frozenset("needs need wants want must should gets".split())
_NEEDS_WITH_TO = frozenset("has have 's 've".split())
""" "The cover has to", "it's got to", "'s to"; not "the cover has screwed clips"."""
_BETWEEN = frozenset("to got be all both first also just then".split())


def need(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that ``clause`` tells as what has to become of a thing, or None."""
    doc = talk.doc
    subject = thing_first(doc, clause)
    if subject is None:
        return None
    at = subject[1]
    has_to = "to" in {token.lower_ for token in doc[at + 1 : min(at + 3, clause.end)]}
    if doc[at].lower_ not in _NEEDS and not (doc[at].lower_ in _NEEDS_WITH_TO and has_to):
        return None
    at += 1
    while at < clause.end and doc[at].lower_ in _BETWEEN:
        at += 1
    if at >= clause.end or doc[at].tag_ not in {"VBG", "VBN", "VB", "VBD"}:
        return None
    if doc[at].lower_ in {"come", "go"}:
        return moved(doc, at, clause.end, subject, "need")
    if doc[at].lemma_.lower() in NO_DEED:
        return None
    found = with_particle(doc, at, clause.end, "need")
    return Deed("need", at, found.action, found.rest, subject)
