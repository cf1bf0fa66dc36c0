"""The order: "press the grey button", "now slowly lift the lid"."""

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.supposed import is_supposed
from vouchbook.extract.read.deeds.verbs import SOFT, is_deed, is_verb_of_pack, with_particle
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import BASE_VERBS
from vouchbook.extract.read.talk import Talk

_OBJECT_TAGS = frozenset({"DT", "PRP$", "PRP", "RP", "WP"})
_OBJECT_WORDS = frozenset("it that all both down out up in off".split())
""" "Chock it", "tape that up": what follows shows that a word which the tagger takes for a noun is an order."""
_OTHER_SUBJECTS = frozenset("you i we they he she".split())


def order(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that ``clause`` orders, or None."""
    doc, at, last = talk.doc, clause.body, clause.end - 1
    while at < last and doc[at].lower_ in SOFT:
        at += 1
    word = doc[at].lower_
    if word == "make" and at < last:
        return Deed("order", at, "make sure", at + 2) if doc[at + 1].lower_ == "sure" else None
    if word != doc[at].lemma_.lower() and doc[at].tag_ != "VB":
        return None
    if not _is_said_as_order(talk, clause, at) or _states(talk, clause, at):
        return None
    if not is_deed(doc, at, clause.end) or is_supposed(talk, clause):
        return None
    return with_particle(doc, at, clause.end, "order")


def _is_said_as_order(talk: Talk, clause: Clause, at: int) -> bool:
    token = talk.doc[at]
    if token.tag_ in BASE_VERBS:
        return True
    if not is_verb_of_pack(talk, token):
        return False
    if at + 1 == clause.end:
        return clause.start == clause.body
    following = talk.doc[at + 1]
    return following.tag_ in _OBJECT_TAGS or following.lower_ in _OBJECT_WORDS


def _states(talk: Talk, clause: Clause, at: int) -> bool:
    """ "Push you get" tells what somebody gets."""
    if at + 1 >= clause.end:
        return False
    following = talk.doc[at + 1]
    return following.lower_ in _OTHER_SUBJECTS and following.tag_ == "PRP"
