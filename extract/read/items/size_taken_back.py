"""Sizes that the talk takes back as another thing's: "nineteen, no, that's the flange. Seventeen"."""

import re

from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.values import Value

_NO_THAT_IS = re.compile(
    r"(?:mil |mm )?(?:, |\. )?(?:no|nope|sorry|hang on|wait|hold on)(?: ,)? "
    r"(?:that|it) (?:'s|is|was) (?:the|for|on|my|your) "
)
"""Behind a size that is another thing's: "nineteen, no, that's the flange"."""
_NO_AFTER_ALL = re.compile(
    r"(?:mil |mm |inch )?[,.] (?:no|nope|nah|sorry)(?: [,.]| wait| hang on| sorry| shoot| i(?= )| let me)"
)
"""Behind a size that is taken back at once: "half, nope, let me look. Nine sixteenths"."""
_IS_THE = re.compile(r"(?:'s|is|was|are) (?:the|for|on|my|your|too) ")
"""Behind a size said again that is another thing's: "twenty's the lid"."""
_TAKEN_BACK_WITHIN = 16
"""Tokens in which the same number stands again, and the right one."""


def is_of_another(talk: Talk, value: Value) -> bool:
    """Whether the talk takes the size back as another thing's and gives the right one.

    As in "nineteen, no, that's the flange. Seventeen" and "T twenty, no, twenty's the lid. Twenty-five".
    """
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    if first is None or last is None:
        return False
    line, end = talk.line_at(last), min(len(talk.doc), last + _TAKEN_BACK_WITHIN)
    later = [v for v in talk.values_in(last + 1, end) if _line_of(talk, v) == line]
    if not any(v.is_usable and _number(v) != _number(value) and (v.is_bare or v.is_size) for v in later):
        return False
    if any(taken_back.match(_behind(talk, value)) for taken_back in (_NO_THAT_IS, _NO_AFTER_ALL)):
        return True
    is_told_again = (
        bool(value.corrected_from)
        or any(_number(v) == _number(value) for v in talk.values_in(max(0, first - _TAKEN_BACK_WITHIN), first))
        or (line - 1 in talk.askers and line != talk.line_at(max(0, first - 1)))
    )
    if is_told_again and _IS_THE.match(_behind(talk, value)):
        return True
    return any(_number(v) == _number(value) and _IS_THE.match(_behind(talk, v)) for v in later)


def _line_of(talk: Talk, value: Value) -> int | None:
    token = talk.token_of(value.first)
    return None if token is None else talk.line_at(token)


def _number(value: Value) -> str:
    """The bare number of a size: "20" of "T20" and "20 mm"."""
    return re.sub(r"[^0-9./]", "", value.quantity.normal)


def _behind(talk: Talk, value: Value) -> str:
    last = talk.token_of(value.last)
    return "" if last is None else talk.tape(last + 1, min(len(talk.doc), last + 9)).text
