"""Which things a stretch of talk names, and whether a step is about one of them."""

import re

from rapidfuzz import fuzz

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import noun_phrase, thing
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import PRONOUNS

_CLOSE_ENOUGH = 78
"""Percent of likeness from which a thing that is named is that of a step."""

_SHORTEST_NOUN = 3
_ANY_THING = frozenset("thing one end side bit part way time lot job hand people it that them".split())
"""Nouns that name no certain thing."""
_DESCRIBE_NOTHING = frozenset(
    "the a an this that these those your my his her its their our two three four five six both all little big".split()
)


def names(talk: Talk, at: int, end: int) -> list[str]:
    """The things named in tokens ``at`` to ``end``, in lower case, without what points at them."""
    found = []
    while at < end:
        stop = noun_phrase(talk.doc, at, end)
        if stop > at:
            found.append(re.sub(r"^(?:any|all|both) ", "", thing(talk.doc, at, stop).lower()))
        at = max(stop, at + 1)
    return found


def is_about(step: Found, name: str) -> bool:
    """Whether ``step`` names that thing as what it is done to, or with."""
    told = f"{step.fields['action']} {step.fields['object']} {step.fields['tool'] or ''}".lower()
    return len(name) > 2 and name not in PRONOUNS and fuzz.token_set_ratio(name, told) >= _CLOSE_ENOUGH


def is_same_thing(one: str, other: str) -> bool:
    """Whether two names can be of one thing: the same noun, and no other describing word on both sides.

    "The lid" is "the battery lid"; "the drain cock" is not "the isolation cock".
    """
    (described, noun), (also_described, other_noun) = _parts(one), _parts(other)
    if noun != other_noun or len(noun) < _SHORTEST_NOUN or noun in _ANY_THING:
        return False
    return not described or not also_described or bool(described & also_described)


def _parts(name: str) -> tuple[frozenset[str], str]:
    """The describing words of a name, and its noun in the singular."""
    words = re.split(r" (?:of|for|in|on|at|behind|under) ", name.lower())[0].replace("-", " ").split()
    noun = words[-1].strip(".,'") if words else ""
    if noun.endswith("s") and not noun.endswith("ss"):
        noun = noun[:-1]
    return frozenset(words[:-1]) - _DESCRIBE_NOTHING, noun
