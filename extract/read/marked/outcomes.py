"""Deeds told for what comes of them, where no list of harms holds the words: "cut the canvas and it shoots up"."""

from vouchbook.extract.read.tags import BASE_VERBS, FINITE_VERBS, NOUNS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks

_DEED_WARNS, _OUTCOME_WARNS = 0.45, 0.7
"""Mean probability of a warning over the words of the deed, and of what comes of it, from which nobody is to do it."""
_LONGEST_SUBJECT = 5
_SUBJECT = NOUNS | {"PRP", "PRP$", "DT", "JJ", "CD", "EX", "RB"}
_CREW_MAY = frozenset("want need can could should must have 've 'll 'd might may got do".split())
""" "Pull it and you'll see a lamp", "and you can lift" go on with the job."""
_MEANT = frozenset("then first slowly slow gently carefully once or otherwise".split())
""" "Crank it slowly and it comes down": the deed is meant."""


def tells_what_comes(talk: Talk, marks: Marks, head: int) -> bool:
    """Whether the deed at token ``head`` is supposed only to tell what comes of it: both are marked as one warning.

    What comes of it stands behind "and" and has a subject of its own: "put a wrench on it and the spindle snaps".
    """
    doc = talk.doc
    clause = talk.clause_at(head)
    if clause is None or clause.marker is not None:
        return False
    joint = _outcome(talk, head)
    if joint is None or any(t.lower_ in _MEANT for t in doc[clause.start : joint]):
        return False
    behind = talk.clause_at(joint + 1)
    end = behind.end if behind else doc[joint].sent.end
    warns = marks.any("warning")
    return bool(warns[clause.start : joint].mean() >= _DEED_WARNS and warns[joint:end].mean() >= _OUTCOME_WARNS)


def _outcome(talk: Talk, head: int) -> int | None:
    """The token "and" right behind the deed that leads, without a pause, to a statement of its own."""
    doc, clause = talk.doc, talk.clause_at(head)
    if clause is None or doc[head].tag_ not in BASE_VERBS:
        return None
    joint = next((t for t in range(head + 1, min(clause.end + 1, doc[head].sent.end)) if doc[t].lower_ == "and"), None)
    if joint is None or doc[joint - 1].is_punct:
        return None
    for at in range(joint + 1, min(joint + 2 + _LONGEST_SUBJECT, doc[head].sent.end)):
        if doc[at].tag_ in FINITE_VERBS | {"MD"}:
            is_crew = doc[joint + 1].lower_ in {"you", "we"}
            return joint if at > joint + 1 and not (is_crew and doc[at].lower_ in _CREW_MAY) else None
        if doc[at].tag_ not in _SUBJECT:
            return None
    return None
