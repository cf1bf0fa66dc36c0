"""What was weighed, marked, named and valued, in words that a training officer knows."""

import math
from collections.abc import Iterator

from vouchbook.extract.read.explained.records import Named, Telling, TopicFrom, Valued
from vouchbook.extract.read.mentions import How
from vouchbook.extract.tagger.labels import SAID

FOUND_BY = {"rules": "a rule of reading", "tagger": "the trained tagger"}

_COLUMNS = {
    "deed": "a deed",
    "thing": "the thing of a deed",
    "alone": "a thing whose deed is left unsaid",
    "part": "a part that is located",
    "place": "the place of a part",
    "warning": "a warning",
    "cue": "a sign",
    "tool": "a tool or its size",
    "chatter": "small talk",
    "pointer": "only pointed at",
}
PIECES = {
    "by rules": "a rule of reading found it",
    "agrees": "how alike the rules and the tagger read these words",
    "other there": "the rules and the tagger both found something here",
    "sure by rules": "how sure the rule is of it",
    "sure by tagger": "how sure the tagger is of it",
    "at head": "how far its main word is marked as what it should be",
    **{f"{name} highest": f"one word in it marked as {what}" for name, what in _COLUMNS.items()},
    **{f"{name} mean": f"all its words marked as {what}, on average" for name, what in _COLUMNS.items()},
    "length": "how many words it has",
    "forbids": "something in it is forbidden",
    "thing told": "it is said what it is done to",
    "size told": "a size is said with it",
    "implied": "the deed is not said",
    "named before": "its thing was named earlier in the talk",
    "asked": "the one who asks said it",
    "condition": "it is said when, or under what condition",
}
"""Each piece of evidence by its name."""

_HOW: dict[How, str] = {
    "term": "by this name",
    "synonym": "by another of its names",
    "sound": "repaired: told by its sound",
    "spelling": "repaired: a slip of spelling",
}
OVER_ALL = {"hazard": "hazard", "signal": "signal word", "deed": "the deed, in a plainer verb"}


_MUCH = ((1.0, "strongly"), (0.4, "clearly"), (0.0, "a little"))
"""From which contribution on, in log-odds: 1 makes the odds 2.7 times what they were, 0.4 half as much again."""


def how_much(contribution: float) -> str:
    """How much a piece of evidence counts, in words: "strongly", "clearly" or "a little"."""
    return next(word for least, word in _MUCH if abs(contribution) >= least)


def likely(log_odds: float) -> float:
    """The probability, 0 to 1, of ``log_odds``, in which evidence is added up."""
    return 1 / (1 + math.exp(-log_odds))


def said_by(telling: Telling) -> str:
    """What the words were read as, in one line."""
    fields = [telling.says.get(name) for name in ("action", "object", "name", "part", "place", "text")]
    return " · ".join(str(field) for field in fields if field)


def shares(of: dict[str, float]) -> str:
    """Shares in the order given: "deed 0.93, warning 0.12"."""
    return ", ".join(f"{'as said' if name == SAID else name} {share:.2f}" for name, share in of.items())


def name_told(named: Named) -> str:
    """A name of the packs: what it names, where that stands, how it was known, and what topic it speaks for."""
    told = f"{named.kind.replace('_', ' ')} “{named.term}” ({', '.join(named.packs)}), {_HOW[named.how]}"
    if named.phase is None:
        return told
    firmly = "firmly" if named.weight == "strong" else "a little"
    return f"{told}; speaks {firmly} for “{named.phase.label}”"


def value_told(valued: Valued, *, is_sized: bool) -> str:
    """A value: how it was read, and what became of it; ``is_sized`` where the item could show it."""
    return "; ".join([_reading(valued), *_notes(valued, is_sized=is_sized)])


def _reading(valued: Valued) -> str:
    quantity = valued.quantity
    if valued.alternatives:
        return f"left open between {' and '.join(valued.alternatives)}"
    if valued.is_bare:
        return f"the number {quantity.normal}, said without a unit"
    return f"{quantity.normal} ({'a name or number of something' if valued.is_label else quantity.dimension})"


def _notes(valued: Valued, *, is_sized: bool) -> Iterator[str]:
    for earlier in valued.corrected_from:
        yield f"“{earlier}” was said first and taken back"
    if valued.is_asked:
        yield "said as a question"
    if valued.is_denied:
        yield "said as what it is not"
    if valued.is_disputed:
        yield "left off: two statements dispute it"
    elif valued.used_for:
        taken = "" if valued.taken_as == valued.quantity.normal else f" {valued.taken_as}"
        yield f"taken as its {valued.used_for}{taken}"
    elif is_sized:
        yield "neither its size nor its count"


def topic_told(topic: TopicFrom) -> Iterator[str]:
    """Where the topic came from, a line for each source."""
    if topic.shares:
        yield f"by the tagger: {', '.join(f'{phase.label} {share:.2f}' for phase, share in topic.shares.items())}"
        yield f"the talk around it, by the names of the packs: {topic.line.label}"
    else:
        yield f"by the names of the packs in its words, and in the talk around it: {topic.line.label}"
        if topic.custom:
            yield f"by custom, such a deed or hazard belongs to: {topic.custom.label}"
