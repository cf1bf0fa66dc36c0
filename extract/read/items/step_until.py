"""How far a deed is done: "pull the lever until it hisses"; and how a thing is left: "leave it plugged in"."""

from itertools import pairwise

from spacy.tokens import Doc

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_LONGEST_STATE = 4
_STATES = frozenset({"VBN", "VBG", "VBD", "JJ", "RP", "RB"})
_LONGEST = 14
"""Tokens of what is reached; a longer clause tells more than that."""


def with_end(talk: Talk, step: Found, clause: Clause) -> Found:
    """``step``, told in ``clause``, with what is reached, where the clause right behind says so: with its words."""
    until = _until(talk, clause)
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


def _until(talk: Talk, clause: Clause) -> Clause | None:
    """The clause with "until" or "till" right behind ``clause``, in one breath with it."""
    sentence = next((s for s in talk.sentences_of(clause.line) if s.start <= clause.start < s.end), None)
    following = next((b for a, b in pairwise(sentence.clauses) if a == clause), None) if sentence else None
    if following is None or following.marker != "until" or following.body == following.start:
        return None
    return following if following.end - following.start <= _LONGEST else None
