"""Steps that only name what is set and where: "two chocks on the front axle", "chocks. Two of 'em. Front wheels"."""

from dataclasses import dataclass

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_context import StepContext
from vouchbook.extract.read.items.step_counts import count_after, count_of
from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.phrases import first_place, noun_phrase, text_of, thing
from vouchbook.extract.read.places import has_verb
from vouchbook.extract.read.sentences import Clause

_SETS = {
    "chock": "chock", "wedge": "wedge", "wheel chock": "chock", "block": "chock", "prop": "set", "stand": "set",
    "axle stand": "set", "cribbing": "build", "strut": "set", "padlock": "put on", "lock": "put on", "tag": "hang",
}  # fmt: skip
"""What is done with a thing of the packs that is named without its verb."""
_HOLDS_A_WHEEL = frozenset({"chock", "wedge"})
"""Said of the wheel, not of the chock: "chock the rear wheel"."""
_BEGINS = 4
"""Tokens of a clause before the thing that is its point."""
_CLAUSES_FOR_PLACE = 2
_LONGEST_ALONE = 5
"""Tokens of a clause that is an order though it names no place: "and a padlock"."""


@dataclass(frozen=True, slots=True)
class _Spot:
    """The place that begins at token ``start`` of ``clause``."""

    clause: Clause
    start: int


def set_in_place(context: StepContext) -> Found | None:
    """Chocks, props and locks named without a verb are to be set: "two chocks on the front axle"."""
    if not context.is_verbless:
        return None
    for mention in context.talk.mentions_in(context.body, context.end, "tool", "part"):
        action = _SETS.get(mention.entry.term)
        if action is None or mention.start - context.body > _BEGINS:
            continue
        if step := _at_place(context, mention, action) or _alone(context, mention, action):
            talk = context.talk
            return step.with_(count=count_of(talk, context.body, mention.end) or count_after(talk, mention.end))
    return None


def _at_place(context: StepContext, mention: Mention, action: str) -> Found | None:
    spot = _spot(context, mention.end, action)
    if spot is None:
        return None
    doc, end = context.doc, spot.clause.end
    where = text_of(doc, spot.start, end)
    wheel = _inner_noun(context, spot)
    step = context.step(
        0.7, "a thing to be set and its place named", action=action,
        object=(wheel or where) if action in _HOLDS_A_WHEEL else thing(doc, context.body, mention.end),
        place=where, tool=mention.entry.term,
    )  # fmt: skip
    return step.with_(end=end)


def _spot(context: StepContext, after: int, action: str) -> _Spot | None:
    """Where it is set: told behind it, or in one of the next two clauses, if they have no verb."""
    doc = context.doc
    spots = [_Spot(context.clause, after), *(_Spot(c, c.body) for c in context.following[:_CLAUSES_FOR_PLACE])]
    for spot in spots:
        clause = spot.clause
        is_later = clause is not context.clause
        if is_later and has_verb(context.talk, clause.body, clause.end):
            return None
        place = first_place(doc, spot.start, clause.end)
        if place is not None:
            return _Spot(clause, place)
        if is_later and action in _HOLDS_A_WHEEL and noun_phrase(doc, clause.body, clause.end) == clause.end:
            return _Spot(clause, clause.body)  # "chocks, front wheels"
    return None


def _inner_noun(context: StepContext, spot: _Spot) -> str:
    """What the place is a place of: "either side of the front wheel" is about the "front wheel"."""
    doc, end = context.doc, spot.clause.end
    inner = spot.start + 1 if doc[spot.start].tag_ == "IN" else spot.start
    of = next((i for i in range(inner, end - 1) if doc[i].lower_ == "of"), None)
    if of is not None and noun_phrase(doc, of + 1, end) > of + 1:
        inner = of + 1
    return thing(doc, inner, noun_phrase(doc, inner, end))


def _alone(context: StepContext, mention: Mention, action: str) -> Found | None:
    if context.end - context.body > _LONGEST_ALONE:
        return None
    said = thing(context.doc, context.body, mention.end)
    return context.step(0.6, "a thing to be set named", action=action, object=said, tool=mention.entry.term)
