"""The state that is wanted, without a verb: "lid off", "windows down", "gloves on", "everybody out"."""

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.moved import MOVED_BY
from vouchbook.extract.read.deeds.verbs import is_verb_of_pack
from vouchbook.extract.read.phrases import noun_phrase
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import BASE_VERBS, FINITE_VERBS, NOUNS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import NAMED_KINDS

_PEOPLE = frozenset("everybody everyone people crew casualty patient passengers person".split())
_SWITCHED = frozenset(
    """
    key engine power ignition switch charger light lights fan gas mains breaker motor supply isolator water pump heater
    main hydraulics electrics
    """.split()
)
""" "Engine off" is turning, "lid off" is taking off."""
_NOT_BROUGHT = frozenset(
    """
    way hands day bit time one side power lot hang hold go come half head people times miles foot metre metres inch
    kettle switch thing things lap paws what years step steps floor floors watch mind look volts amps bar handle
    """.split()
)
"""Nouns before a state that name no thing brought there: "hands off" forbids, "all the way down" tells how far."""
_MOVES_ITSELF = frozenset(
    """
    climb walk stand step come get move back look reach lean wind switch sit lie roll pull push turn go keep stay hop
    jump swing burn shut cut break run
    """.split()
)
"""Verbs that the tagger may take for a noun before a particle: "climb out" is no thing that is wanted out."""
_FULLY = frozenset("right straight all well fully both".split())
_MAY_OPEN_PLACE = frozenset("on in over up down off out across round".split())


def wanted(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that brings the thing of ``clause`` to the state told, or None; "handle on the left" is a place."""
    doc, body, end = talk.doc, clause.body, clause.end
    stop = _end_of_thing(talk, clause)
    if stop is None:
        return None
    at = stop
    while at < end - 1 and doc[at].lower_ in _FULLY:
        at += 1
    head, state = doc[stop - 1], doc[at].lower_
    if state not in MOVED_BY or any(token.tag_ in FINITE_VERBS for token in doc[stop:end]):
        return None
    opens_place = at + 1 < end and doc[at + 1].tag_ in {"DT", "PRP$", "NN", "NNS", "JJ", "CD"}
    if opens_place and state in _MAY_OPEN_PLACE:
        return None
    last = talk.word(stop - 1)
    if any(v.quantity.unit is not None and v.last == last for v in talk.values_in(body, stop)):
        return None  # "eight volts in there" tells how much
    if head.lower_ in _NOT_BROUGHT or head.tag_ == "CD" or doc[body].lower_ in {"no", "every", "any"}:
        return None
    return Deed("wanted", at, _action(head.lower_, state), at + 1, (body, stop))


def _action(head: str, state: str) -> str:
    if head in _PEOPLE:
        return f"get {state}"
    if head in _SWITCHED and state in {"off", "on"}:
        return f"turn {state}"
    return MOVED_BY[state]


def _end_of_thing(talk: Talk, clause: Clause) -> int | None:
    doc, body, end = talk.doc, clause.body, clause.end
    stop = noun_phrase(doc, body, end)
    if stop == body and doc[body].lower_ in _PEOPLE:
        stop = body + 1
    if body < stop < end:
        return stop
    # the tagger takes a short noun for a verb before a particle: "lid off"
    return body + 1 if end - body == 2 and _is_noun_here(talk, body) else None


def _is_noun_here(talk: Talk, at: int) -> bool:
    """Whether a word before "off" or "open" is a thing: the packs know it as one, or it can be none but a noun."""
    token = talk.doc[at]
    if any(talk.mentions_in(at, at + 1, *NAMED_KINDS)):
        return True
    if token.lower_ in _MOVES_ITSELF or is_verb_of_pack(talk, token):
        return False
    return token.tag_ in NOUNS | BASE_VERBS | {"VBZ", "JJ"}
