"""Values that two statements dispute are left off the items; the question stands instead."""

import re
from collections.abc import Iterable, Sequence

from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.questions.raised import WordSpan
from vouchbook.extract.read.talk import Talk

_AGAIN_WORDS = 40
"""Words within which the same value said again is the disputed one."""
_IN_DISPUTE = "a time or distance in dispute"


def undisputed(talk: Talk, found: Iterable[Found], disputed: Sequence[WordSpan]) -> list[Found]:
    """``found`` without the sizes, counts and waits that the words of ``disputed`` say."""
    return [_without(talk, item, disputed) for item in found]


def _without(talk: Talk, found: Found, disputed: Sequence[WordSpan]) -> Found:
    size = None if found.size and _is_disputed(talk, found.size, disputed) else found.size
    count = None if found.count and _is_disputed(talk, found.count, disputed) else found.count
    fields = found.fields
    if found.kind == "step":
        fields = {**fields, "object": _without_values(talk, found, disputed)}
    if (size, count, fields) == (found.size, found.count, found.fields):
        return found
    reasons = (*found.reasons, "a value is left off: two statements dispute it")
    return found.with_(size=size, count=count, fields=fields, reasons=reasons)


def _is_disputed(talk: Talk, said: Said, disputed: Sequence[WordSpan]) -> bool:
    """Whether ``said`` is a disputed value, or says one again a little before or after."""
    return any(
        (said.first <= last and first <= said.last) or _says_again(talk, said, first) for first, last in disputed
    )


def _says_again(talk: Talk, said: Said, first: int) -> bool:
    if abs(said.first - first) > _AGAIN_WORDS:
        return False
    return any(value.first == first and value.quantity.value == said.quantity.value for value in talk.values)


def _without_values(talk: Talk, found: Found, disputed: Sequence[WordSpan]) -> str:
    """The object of a step, each disputed value in it put into plain words: "wait a time or distance in dispute"."""
    text: str = found.fields["object"]
    for first, last in disputed:
        if talk.word(found.start) <= first and last <= talk.word(found.end - 1):
            words = re.escape(talk.transcript.text(first, last).strip(".,;:?!"))
            text = re.sub(words, _IN_DISPUTE, text, flags=re.IGNORECASE)
    return text
