"""Values that two statements dispute are left off the items; the question stands instead."""

import re
from collections.abc import Sequence

from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.questions.raised import Raised, WordSpan
from vouchbook.extract.read.talk import Talk


def undisputed(talk: Talk, found: Sequence[Found], raised: Sequence[Raised]) -> list[Found]:
    """``found`` without the sizes, counts and waits that a conflict of ``raised`` is about."""
    spans = [span for r in raised if r.kind == "conflict" for span in r.disputed]
    return [_without(talk, f, spans) for f in found] if spans else list(found)


def _without(talk: Talk, found: Found, spans: Sequence[WordSpan]) -> Found:
    changes: dict[str, object] = {}
    for name in ("size", "count"):
        said: Said | None = getattr(found, name)
        if said and any(_overlap((said.first, said.last), span) or _same_value(talk, said, span) for span in spans):
            changes[name] = None
    if found.kind == "step" and (about := _disputed_in_object(talk, found, spans)):
        changes["fields"] = {**found.fields, "object": about}
    if not changes:
        return found
    return found.with_(**changes, reasons=(*found.reasons, "a value is left off: two statements dispute it"))


_NEAR_WORDS = 40


def _same_value(talk: Talk, said: Said, span: WordSpan) -> bool:
    """Whether ``said`` says the disputed value again, a little before or after."""
    if abs(said.first - span[0]) > _NEAR_WORDS:
        return False
    return any(
        v.first == span[0] and v.quantity.value == said.quantity.value for v in talk.values if v.first >= span[0]
    )


def _disputed_in_object(talk: Talk, found: Found, spans: Sequence[WordSpan]) -> str | None:
    """The object of a step without the disputed value, or None when it holds none."""
    inside = [span for span in spans if talk.word(found.start) <= span[0] and span[1] <= talk.word(found.end - 1)]
    text: str = found.fields["object"]
    for first, last in inside:
        words = talk.transcript.text(first, last)
        text = re.sub(re.escape(words.strip(".,;:?!")), "a time or distance in dispute", text, flags=re.IGNORECASE)
    return text if text != found.fields["object"] else None


def _overlap(one: WordSpan, other: WordSpan) -> bool:
    return one[0] <= other[1] and other[0] <= one[1]
