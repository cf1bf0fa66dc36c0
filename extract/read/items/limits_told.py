"""How long and in which case something is forbidden: "don't let go of it until he's out"."""

from vouchbook.extract.read.clause_behind import clause_behind
from vouchbook.extract.read.forbidden import forbidden_act
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import Prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_LIMITS = frozenset({"until", "while", "unless", "before", "if", "when", "whenever"})
_LONGEST = 12
"""Tokens of a limit."""


def act_forbidden(talk: Talk, found: Prohibition) -> str:
    """What ``found`` forbids, to stand behind "never", with the limit that is told right behind it."""
    act = forbidden_act(talk.doc, found)
    limit = limit_behind(talk, found.end)
    return f"{act} {text_of(talk.doc, limit.start, limit.end)}" if limit else act


def limit_behind(talk: Talk, end: int) -> Clause | None:
    """The clause of the same sentence that begins right behind token ``end`` and tells a limit."""
    return clause_behind(talk, end, _LIMITS, _LONGEST)
