"""Deeds that are only supposed, to tell what comes of them."""

import re

from vouchbook.extract.read.hazards.judge import hazard_words
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern

_OUTCOME = words_pattern(
    # "and you've a spray in your face"; not "and you'll want to lift it"
    r"(?:and |then |so |or )*(?:you|it|they|she|he|that|there)"
    r"(?: 've| 'll| 'd| will| would| have| 're| are)(?: got| just)?"
    r"(?! (?:got )?(?:to|want|need|see|hear|feel|find)(?!\S)) .*",
    # "and that's a fire"
    r"(?:and |then |so )*(?:that 's|it 's|there 's) .*",
    # "and the whole boom drops"
    r"and (?:the |a |your |everything |somebody |people )?(?:\w+ ){0,4}?(?:snaps|breaks|goes|comes|drops|falls|blows|"
    r"flies|moves|rolls|tips|swings|lets|shoots|starts|burns|shifts|catches|bursts|shears|finds) .*",
    # "then it swings at you"
    r"(?:and |then |so )*(?:it|she|that|they|he) (?:goes|comes|drops|falls|blows|kicks|bites|whips|swings|opens|starts|"
    r"moves|rolls|tips|snaps|takes|lets) .*",
)
_GIVES = words_pattern(
    # "and you just feed it air"
    r"(?:and |then )?(?:you|you 'll|you just|you only) (?:just |only )?"
    r"(?:give|let|get|have|end|lose|make|feed|set|wear) .*"
)
_HARM = words_pattern(
    r"(?:snaps?|breaks?|busts?|cracks?|gas|air|live|arc|sparks?|flames?|fire|whips?|lose|losing|stuck|trapped|trap|"
    r"spills?|leaks?|worse|nowhere|dead man|gone|paste|hurts?|burns?|sprays?|goes (?:up|off|bang)|on (?:you|him|them)|"
    r"in your \w+|bang|the lot|shears|bursts|you wear (?:it|that)|finds you)"
)
_OUTRIGHT = 2
"""Weight of a hazard that is told outright; "lets go" alone only hints at one."""
_GIVES_REASON = words_pattern("or|'cause|because|so")
""" "Steady it or it'll tip": the deed is meant, and this is why."""
_PAUSES = re.compile(r"(?:, )*")


def is_supposed(talk: Talk, clause: Clause) -> bool:
    """Whether "you nick that hose and you've a spray in your face" supposes the deed only to tell what comes of it.

    "Pull that and the latch lets go" is meant: what comes of it does no harm.
    """
    sentence = next((s for s in talk.sentences_of(clause.line) if s.start <= clause.start < s.end), None)
    if sentence is None or clause.end >= sentence.end:
        return False
    rest = talk.tape(clause.end, sentence.end)
    outcome = _PAUSES.sub("", rest.text, count=1)
    if _GIVES_REASON.match(outcome):
        return False
    comes_of_it = bool(_OUTCOME.match(outcome))
    harms = any(h.weight >= _OUTRIGHT for h in hazard_words(rest)) or bool(_HARM.search(outcome))
    if harms:
        return comes_of_it or bool(_GIVES.match(outcome))
    forbidden = any(c.end <= clause.start and prohibition(talk.doc, c.body, c.end) for c in sentence.clauses)
    return forbidden and comes_of_it
