"""Steps that only count fasteners or tell what they hold: "it hangs on four bolts", "held by one clip at the back"."""

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_context import StepContext
from vouchbook.extract.read.items.step_counts import count_of
from vouchbook.extract.read.items.step_told import is_pronoun, place_told
from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.phrases import noun_phrase, text_of, thing, with_of

_HELD = frozenset("held hold holds held-on fixed secured fastened bolted screwed".split())
_DESCRIBES = frozenset("ADJ NUM NOUN DET PROPN PRON".split())


def fasteners(context: StepContext) -> Found | None:
    """Fasteners that are counted or said to hold something are to be undone."""
    doc, body, end = context.doc, context.body, context.end
    is_held = any(t.lower_ in _HELD for t in doc[body:end])
    for mention in context.talk.mentions_in(body, end, "fastener"):
        start = mention.start
        while start > body and doc[start - 1].pos_ in _DESCRIBES and doc[start - 1].tag_ != "PRP":
            start -= 1
        count = count_of(context.talk, start, mention.end)
        if count is None and not is_held:
            continue
        step = context.step(
            0.6, "fasteners told with their number or what they hold", action="remove",
            object=_named(context, mention, start), place=place_told(context, mention.end, following=()),
        )  # fmt: skip
        return step.with_(count=count)
    return None


def _named(context: StepContext, mention: Mention, start: int) -> str:
    """The fasteners, and what they hold where it was told: "bolts of cover"."""
    doc = context.doc
    stop = with_of(doc, start, context.end)
    if stop > mention.end:
        return thing(doc, mention.start, stop)
    name, owner = text_of(doc, mention.start, mention.end), _owner(context, start)
    return f"{name} of {owner}" if owner else name


def _owner(context: StepContext, start: int) -> str | None:
    """What the fasteners that begin at ``start`` hold: the subject of the clause, or the thing that "it" means."""
    doc, body = context.doc, context.body
    subject = noun_phrase(doc, body, start)
    if subject > body and not is_pronoun(context, body, subject):
        return thing(doc, body, subject)
    if any(t.tag_ in {"NN", "NNS"} for t in doc[body:start]):
        return None
    meant = context.things.before(body)
    return context.things.text(meant) if meant else None
