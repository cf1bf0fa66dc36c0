"""How long and in which case something is forbidden: "don't let go of it until he's out"."""

from vouchbook.extract.read.forbidden import forbidden_act
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import Prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_LIMITS = frozenset({"until", "while", "unless", "before", "if", "when", "whenever"})
_LONGEST = 12
"""Tokens of a limit; a longer clause tells more than that."""


def act_forbidden(talk: Talk, found: Prohibition) -> str:
    """What ``found`` forbids, to stand behind "never", with the limit that is told right behind it."""
    act = forbidden_act(talk.doc, found)
    limit = limit_behind(talk, found.end)
    return f"{act} {text_of(talk.doc, limit.start, limit.end)}" if limit else act


def limit_behind(talk: Talk, end: int) -> Clause | None:
    """The clause of the same sentence that begins right behind token ``end`` and tells a limit."""
    if end >= len(talk.doc):
        return None
    at = end + 1 if talk.doc[end].is_punct and end + 1 < len(talk.doc) else end
    clause = talk.clause_at(at)
    if clause is None or clause.start != at or talk.doc[end - 1].sent != talk.doc[at].sent:
        return None
    is_limit = clause.marker in _LIMITS and clause.body > clause.start and clause.end - clause.start <= _LONGEST
    return clause if is_limit else None
