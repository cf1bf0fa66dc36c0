"""How far a deed is done: "pull the lever until it hisses"; and how a thing is left: "leave it plugged in"."""

from spacy.tokens import Doc

from vouchbook.extract.read.clause_behind import clause_behind
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_LONGEST_STATE = 4
_STATES = frozenset({"VBN", "VBG", "VBD", "JJ", "RP", "RB"})
_UNTIL = frozenset({"until"})
_LONGEST = 14
"""Tokens of what is reached."""


def with_end(talk: Talk, step: Found, clause: Clause) -> Found:
    """``step``, told in ``clause``, with what is reached, where the clause right behind says so: with its words."""
    until = clause_behind(talk, clause.end, _UNTIL, _LONGEST)
    name = step.fields["object"] or ""
    if until is None or "until" in name or "till" in name.split():
        return step
    said = text_of(talk.doc, until.start, until.end)
    return step.with_(end=max(step.end, until.end), fields={**step.fields, "object": f"{name} {said}".strip()})


def left_as(doc: Doc, action: str, start: int, end: int) -> str:
    """How a thing is to be left, in tokens ``start`` to ``end`` behind it: "plugged in", "on"; without it a lie."""
    if action.split()[0] not in {"leave", "keep"} or not start < end <= start + _LONGEST_STATE:
        return ""
    return text_of(doc, start, end) if doc[start].tag_ in _STATES else ""
