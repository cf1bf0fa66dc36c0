"""A thing that is told before what becomes of it: "the cover has to come off", "that goes across", "lid off"."""

from spacy.tokens import Doc

from vouchbook.extract.read.deeds.deed import Deed, Form
from vouchbook.extract.read.phrases import noun_phrase
from vouchbook.extract.read.sentences import Clause

MOVED_BY = {
    "off": "take off", "out": "take out", "up": "lift up", "down": "put down", "open": "open", "shut": "shut",
    "closed": "close", "on": "put on", "away": "take away", "apart": "pull apart", "in": "put in", "back": "move back",
    "over": "turn over", "across": "turn across", "round": "turn round",
}  # fmt: skip
"""The state that a thing is brought to, and the deed that brings it there."""

_THING_PRONOUNS = frozenset("that it they this those these".split())
_ENDS_A_MOVE = frozenset("off out away across apart open shut loose straight outside".split())
_ENDS_GOING = frozenset("on over in back".split())
"""After "goes" alone these are an order ("the cap goes on"); after "comes" they tell what happens."""


def thing_first(doc: Doc, clause: Clause) -> tuple[int, int] | None:
    """The token range (end exclusive) of the thing that opens ``clause``, if at least two words follow it."""
    stop = noun_phrase(doc, clause.body, clause.end)
    if stop == clause.body and doc[clause.body].lower_ in _THING_PRONOUNS:
        stop = clause.body + 1
    return (clause.body, stop) if clause.body < stop < clause.end - 1 else None


def moved(doc: Doc, verb: int, end: int, subject: tuple[int, int], form: Form) -> Deed | None:
    """The deed of a verb of motion with its particle: "goes across" is "turn across", "lifts out" is "lift out"."""
    word = doc[verb + 1].lower_ if verb + 1 < end else ""
    if word == "straight" and verb + 2 < end:
        word = doc[verb + 2].lower_
    if word not in _ENDS_A_MOVE and not (word in _ENDS_GOING and doc[verb].lower_ in {"goes", "go"}):
        return None
    lemma = doc[verb].lemma_.lower()
    action = MOVED_BY.get(word, f"move {word}") if lemma in {"go", "come"} else f"{lemma} {word}"
    return Deed(form, verb, action, verb + 2, subject)
