"""The number of a step's things where it is told apart from the deed: asked for, added up, or said of the chocks."""

import re
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.items.step_counts import MOST, is_no_count
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value, as_count
from vouchbook.models.quantities import Quantity

_ASKS_HOW_MANY = words_pattern(
    r"how many", r"(?:just|only) (?:the )?(?:one|two)", r"(?:one|two|three|four|six|eight) of (?:them|'em)"
)
_PLURAL = re.compile(r"(?:[a-z'-]+(?<!s)s)(?: of .*| on .*| in .*)?$")
"""An object that is more than one thing: "bolts of cover"."""
_HOLDS_A_WHEEL = re.compile(r"^(?:chock|wedge|scotch|chalk|put|set|place|kick|shove)")
_CHOCKS = re.compile(r"(?:[a-z-]+ ){0,2}(?:chocks?|chalks|chucks|shocks|wedges?|scotch(?:es)?)(?!\S)")
_ALONE = re.compile(r"(?:of (?:'em|em|them|those) )?(?:,|\.|!|$)")
_WHEELS = re.compile(r"(?<!\w)(?:wheels?|axles?|tyres?|tires?|drives?|chocks?|wedges?|scotch(?:es)?)(?!\w)")
_NUMBERS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "1": 1, "2": 2, "3": 3, "4": 4}
_BY = (
    r"(?:at|by|on|in|under|behind|near|beside|along|inside)"
    r"(?: (?:the|a|your|this|that))?(?: (?!and )[a-z'-]+){1,3}?"
)
_THERE = rf"(?:(?:here|there)(?: {_BY})?|{_BY})"
_ONE_PLACE = rf"(?:{'|'.join(_NUMBERS)}) (?:(?:more|right|just|up|down|over|round|back) ){{0,2}}{_THERE}"
_POINTED = re.compile(rf"(?<!\S)({'|'.join(_NUMBERS)})(?= )")
_POINTED_OUT = words_pattern(rf"{_ONE_PLACE}(?: ?,? (?:and )?(?:then )?{_ONE_PLACE})+")
_THEM = frozenset("them 'em em those all both".split())
_ANSWER_BEGINS = 3
"""Tokens of an answer before its number: "yeah, all four"."""
_REACH_LINES, _CHOCKS_BESIDE, _SUM_WITHIN = 4, 14, 24


def counted(talk: Talk, steps: Sequence[Found]) -> list[Found]:
    """``steps``; those without a number of their own have the one that the talk tells of their things elsewhere."""
    return [step if step.count else step.with_(count=_count(talk, steps, step)) for step in steps]


def _count(talk: Talk, steps: Sequence[Found], step: Found) -> Said | None:
    thing = str(step.fields["object"]).lower()
    if _HOLDS_A_WHEEL.match(step.fields["action"]) and _WHEELS.search(thing):
        return _of_chocks(talk, step) or _answered(talk, steps, step)
    if not _PLURAL.match(thing):
        return None
    return _pointed_out(talk, step) or _answered(talk, steps, step)


def _of_chocks(talk: Talk, step: Found) -> Said | None:
    """The number of chocks for the wheel: "two chocks", "chocks. Two of 'em", "a pair of wedges, rear wheel"."""
    first, last = max(0, step.start - _CHOCKS_BESIDE), min(len(talk.doc), step.end + _CHOCKS_BESIDE)
    for value, number in _numbers(talk, first, last):
        start, token = talk.token_of(value.first), talk.token_of(value.last)
        if start is None or token is None or talk.line_at(token) != step.line or is_no_count(talk, value):
            continue
        sentence = talk.doc[token].sent
        behind = talk.tape(token + 1, min(sentence.end, token + 6)).text
        is_first = start == sentence.start or talk.doc[start - 1].is_punct
        if _CHOCKS.match(behind.removeprefix("of ")) or (is_first and _ALONE.match(behind)):
            return Said(number, value.first, value.last)
    return None


def _pointed_out(talk: Talk, step: Found) -> Said | None:
    """The sum of those that are pointed out in a row: "two here, one down there by the door" are three.

    Before the step they count where it stands for them: "push them all in".
    """
    means_them = any(t.lower_ in _THEM for t in talk.doc[step.start : step.end])
    first = max(0, step.start - _SUM_WITHIN) if means_them else step.start
    near = talk.tape(first, min(len(talk.doc), step.end + _SUM_WITHIN))
    match = _POINTED_OUT.search(near.text)
    if match is None or talk.line_at(near.token(match.start())) != step.line:
        return None
    total = sum(_NUMBERS[word] for word in _POINTED.findall(match.group(0)))
    first, last = talk.word(near.token(match.start())), talk.word(near.token(match.end() - 1))
    said = talk.transcript.text(first, last)
    return Said(Quantity(normal=str(total), dimension="count", value=total, said=said), first, last)


def _answered(talk: Talk, steps: Sequence[Found], step: Found) -> Said | None:
    """The number that answers "how many?" where this step is the last one told before that has more than one thing."""
    for line in range(step.line + 1, step.line + 1 + _REACH_LINES):
        asked = talk.sentences_of(line)
        if not any(_ASKS_HOW_MANY.search(talk.tape(s.start, s.end).text) for s in asked if s.asks):
            continue
        between = (s for s in steps if step.start < s.start and s.line <= line)
        if any(_PLURAL.match(str(s.fields["object"]).lower()) for s in between):
            return None
        told = talk.sentences_of(line + 1)
        if not told:
            return None
        for value, number in _numbers(talk, told[0].start, told[0].end):
            token = talk.token_of(value.last)
            begins = talk.token_of(value.corrected_from[0].first if value.corrected_from else value.first)
            if token is None or begins is None or begins - told[0].start > _ANSWER_BEGINS:
                return None
            behind = talk.tape(token + 1, told[0].end).text
            return Said(number, value.first, value.last) if _ALONE.match(behind) else None
        return None
    return None


def _numbers(talk: Talk, start: int, end: int, least: int = 2) -> Iterator[tuple[Value, Quantity]]:
    for value in talk.values_in(start, end):
        number = as_count(value)
        if number is not None and least <= (number.value or 0) <= MOST:
            yield value, number
