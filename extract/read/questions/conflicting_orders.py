"""Two orders of the same two deeds: "drain it before you isolate", and later "isolate, then drain"."""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk

_OF_MANY_THINGS = frozenset(
    "open close shut lift lower turn push pull press undo take put get go have make do let come see look check wait "
    "want move leave hold use find know say tell give keep start stop try need be think work touch set run".split()
)
"""Deeds that are done to many things in turn: two orders of them disagree only where their things are named."""
_LATER, _EARLIER = frozenset({"before", "until"}), frozenset({"after", "once"})


class _Deed(NamedTuple):
    verb: str
    things: frozenset[str]


class _Order(NamedTuple):
    first: _Deed
    then: _Deed
    sentence: Sentence


def conflicting_orders(talk: Talk) -> Iterator[Raised]:
    """One question for each two deeds that two lines put in opposite orders."""
    told: list[_Order] = []
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.asks:
            continue
        for order in _orders(talk, sentence):
            other = next((o for o in told if o.sentence.line != sentence.line and _is_reverse(o, order)), None)
            if other is not None:
                yield _raised(talk, other, order)
                break
        told += _orders(talk, sentence)


def _orders(talk: Talk, sentence: Sentence) -> Iterator[_Order]:
    for one, other in pairwise(sentence.clauses):
        first, second = _deed(talk, one), _deed(talk, other)
        if first is None or second is None or first.verb == second.verb:
            continue
        joins = other.marker if other.marker in _LATER | _EARLIER else one.marker
        if joins is None and "then" in (*other.leads, talk.doc[other.start].lower_):
            yield _Order(first, second, sentence)
        elif joins in _LATER | _EARLIER:
            main_is_first = (joins in _LATER) == (other.marker == joins)
            main = one if other.marker == joins else other
            if prohibition(talk.doc, main.body, main.end) is not None:
                main_is_first = not main_is_first  # "never drain it before you isolate"
            yield _Order(*((first, second) if main_is_first else (second, first)), sentence)


def _deed(talk: Talk, clause: Clause) -> _Deed | None:
    # an order that opens a sentence is often taken for a name: "Isolate, then drain"
    named = {m.start for m in talk.mentions_in(clause.body, clause.end, "verb")}
    verb = next((t for t in talk.doc[clause.body : clause.end] if t.pos_ == "VERB" or t.i in named), None)
    if verb is None:
        return None
    things = (t.lemma_.lower() for t in talk.doc[verb.i + 1 : clause.end] if t.pos_ in {"NOUN", "PROPN"})
    return _Deed(verb.lemma_.lower(), frozenset(things))


def _is_reverse(one: _Order, other: _Order) -> bool:
    return _same(one.first, other.then) and _same(one.then, other.first)


def _same(one: _Deed, other: _Deed) -> bool:
    if one.verb != other.verb:
        return False
    if one.things and other.things:
        return bool(one.things & other.things)
    return one.verb not in _OF_MANY_THINGS


def _raised(talk: Talk, one: _Order, other: _Order) -> Raised:
    first, second = (text_of(talk.doc, o.sentence.start, o.sentence.end) for o in (one, other))
    return Raised(
        "conflict",
        f"order: first {one.first.verb} or first {one.then.verb}",
        f"Which comes first, to {one.first.verb} or to {one.then.verb}? \u201c{first}\u201d \u201c{second}\u201d",
        tuple(words_of(talk, o.sentence.start, o.sentence.end) for o in (one, other)),
    )
