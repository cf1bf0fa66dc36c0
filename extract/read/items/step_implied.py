"""Steps that name no deed: what is worn, how long to wait, what carries it away, from which side to come."""

import re

from vouchbook.extract.read.failing import is_behind_failure
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_context import StepContext
from vouchbook.extract.read.items.step_told import place_told
from vouchbook.extract.read.phrases import noun_phrase, text_of, thing
from vouchbook.extract.read.tags import FINITE_VERBS, VERBS
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value

_NO_WAIT = words_pattern(
    # "ten minutes ago", "it took me five minutes", "two minutes away"
    r"(?:ago|old|last|every|hour drive|late|minutes? away|years?|older|since|took|takes|took me|warranty|battery life)"
)
_THERE_IS = re.compile(r"(?:and |but |so |well |then )*there (?:'s|is) (?:also |always |still )?")
_SHORTEST_WAIT_S = 20
_WAIT_BEGINS = 3
"""Tokens of a clause before a time that is its point: "now five minutes, by the clock"."""
_ARE_OR_WANT = frozenset("is 's are 're need want wants".split())
"""With these beside it, equipment is still to be put on: "it's class zero gloves"."""
_DESCRIBES_WORN = frozenset("ADJ NUM NOUN DET PROPN".split())
_CARRIERS = words_pattern(
    r"flat ?-?bed|transporter|low ?-?loader|trailer|recovery truck|beavertail|lowboy|rollback|roll-back"
)
_LONGEST_CARRIER = 6
_WALKS_UP = words_pattern(
    # the question before: "how do I walk up to it?", "and where from?"
    r"walk(?:ing)? (?:up|in|over|towards?)|approach(?:ing)?|com(?:e|ing) (?:up|at) .*|from where|"
    r"where from|where do i (?:come|start|go)|go(?:ing)? (?:up )?to it|step(?:ping)? off the truck"
)
_FROM = words_pattern(
    r"(?:from|off|at) (?:the |your |its )?(?:\w+ ){0,2}?(?:side|sides|corner|corners|front|rear|"
    r"back|left|right|end|doors?|quarter|upwind).*",
    r"(?:front|rear|back|left|right|side)(?: \w+)? (?:corner|side|quarter).*",
)


def fallback(context: StepContext) -> Found | None:
    """ "If that fails, there's the street valve": what is there then is used; nobody says how."""
    if not is_behind_failure(context.talk, context.sentence, context.clause):
        return None
    opens = _THERE_IS.match(context.text)
    if opens is None:
        return None
    start = context.talk.tape(context.body, context.end).token(opens.end())
    stop = noun_phrase(context.doc, start, context.end)
    if stop <= start or context.doc[start].lower_ == "no":
        return None
    place = place_told(context, stop, context.following)
    why = "what is there when the first way fails; the deed is implied, nobody said it"
    return context.step(0.6, why, action="use", object=thing(context.doc, start, stop), place=place)


def wait(context: StepContext) -> Found | None:
    """A time that stands alone is a time to wait: "now five minutes, by the clock", "sixty seconds, then"."""
    talk, clause = context.talk, context.clause
    if any(t.tag_ in FINITE_VERBS for t in context.doc[clause.body : clause.end]):
        return None
    if _NO_WAIT.search(talk.tape(context.sentence.start, context.sentence.end).text):
        return None
    for value in talk.values_in(clause.body, clause.end):
        start = talk.token_of(value.first)
        if _is_wait(value) and start is not None and start - clause.body <= _WAIT_BEGINS:
            said = text_of(context.doc, start, clause.end)
            return context.step(0.6, "a time told on its own, to be waited", action="wait", object=said)
    return None


def _is_wait(value: Value) -> bool:
    quantity = value.quantity
    if quantity.dimension != "time" or not value.is_usable or value.is_asked:
        return False
    if quantity.unit == "s":
        return (quantity.value or 0) >= _SHORTEST_WAIT_S
    return quantity.unit in {"min", "h"}


def put_on(context: StepContext) -> Found | None:
    """Protective equipment named is to be worn: "then the gloves, class one"; not "he had gloves on"."""
    clause, doc = context.clause, context.doc
    worn = _worn(context)
    if worn is None:
        return None
    verbs = [t for t in doc[clause.body : clause.end] if t.tag_ in VERBS]
    if any(t.tag_ == "VBD" or t.lower_ not in _ARE_OR_WANT for t in verbs):
        return None
    start, stop = worn
    while start > clause.body and doc[start - 1].pos_ in _DESCRIBES_WORN:
        start -= 1
    said = thing(doc, start, stop)
    return context.step(0.7, "protective equipment named to be worn", action="put on", object=said)


def _worn(context: StepContext) -> tuple[int, int] | None:
    """The tokens that name equipment, or the class that only gloves have."""
    talk, clause = context.talk, context.clause
    for mention in talk.mentions_in(clause.body, clause.end, "ppe"):
        return mention.start, mention.end
    earlier = [c for c in context.sentence.clauses if c.end <= clause.start]
    if earlier and any(talk.mentions_in(earlier[-1].start, earlier[-1].end, "ppe")):
        return None  # "put on the gloves, class zero": the class is theirs
    for value in talk.values_in(clause.body, clause.end):
        if value.quantity.dimension == "glove class":
            return talk.token_of(value.first) or clause.body, (talk.token_of(value.last) or clause.body) + 1
    return None


def carried_off(context: StepContext) -> Found | None:
    """ "flat bed", "on a low loader, all wheels up": how it is taken away."""
    clause = context.clause
    if clause.end - clause.body > _LONGEST_CARRIER or not context.is_verbless or not _CARRIERS.search(context.text):
        return None
    said = text_of(context.doc, clause.body, clause.end)
    place = said if said.lower().startswith("on ") else f"on {said}"
    return context.step(0.6, "what carries it away is named", action="load", object="it", place=place)


def approach(context: StepContext) -> Found | None:
    """ "from the side", in answer to how to walk up to it."""
    talk, clause = context.talk, context.clause
    asked = talk.sentences_of(clause.line - 1) if clause.line else ()
    if not any(_WALKS_UP.search(talk.tape(s.start, s.end).text) for s in asked):
        return None
    if not context.is_verbless or not _FROM.search(context.text):
        return None
    said = text_of(context.doc, clause.body, clause.end)
    return context.step(0.6, "the side to come from, in answer to how to walk up", action="approach", object=said)
