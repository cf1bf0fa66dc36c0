"""A step as somebody of the trade would write it: nothing told twice, and how far it goes stands with where."""

import re

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import noun_phrase, text_of
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.values import Value

_TURNS = frozenset("clockwise anticlockwise counterclockwise anti-clockwise counter-clockwise".split())
_WAY = frozenset("away back clear off out up down forward forwards backwards over apart in".split())
_FAR = frozenset({"m", "[ft_i]", "[yd_i]", "cm", "km"})
"""Units that no fastener is sized in; millimetres and inches tell how far only where they are no size."""
_SMALL = frozenset({"mm", "[in_i]"})
_MOVES = re.compile(
    r"^(?:keep|hold|stay|stand|get|put|set|park|leave|move|shift|pull|push|slide|lift|raise|lower|jack|roll|drag|carry|"
    r"take|bring|walk|step|open|draw|nudge|ease|wind|back|drop|go)(?!\w)"
)
_AWAY_FROM = frozenset({"from", "of"})
_BEHIND = 12
"""Tokens behind a step in which a correction of its distance may stand."""


_COMMA = 1


def plainly_told(talk: Talk, step: Found) -> Found:
    """``step`` without what it says twice, and with the distance that its words tell.

    A tool that its verb tells already is left out ("chock the wheel"), and a place that is its object again; "chock
    chocks" is "place chocks", "turn clockwise clockwise" is "turn clockwise".
    """
    return _with_distance(talk, _said_once(step))


def _said_once(step: Found) -> Found:
    verb, tool = step.fields["action"].split()[0], step.fields.get("tool")
    fields = dict(step.fields)
    if tool and _singular(tool.lower().split()[-1]) == verb:
        fields["tool"] = None
    if tool and set(tool.lower().split()) <= set(fields["object"].lower().split()):
        fields["tool"] = None  # "put the padlock through" is done to the padlock
    if (way := fields["object"].lower()) in _TURNS:
        is_told = way in fields["action"].split()
        fields["action"], fields["object"] = fields["action"] if is_told else f"{fields['action']} {way}", ""
    turning = _TURNS.intersection(fields["action"].split())
    if turning:
        fields["object"] = _without(fields["object"], turning)
        fields["place"] = _without(fields.get("place") or "", turning) or None
    thing = fields["object"].lower().split()
    if thing and (fields.get("place") or "").lower().split()[1:] in (thing, ["the", *thing]):
        fields["place"] = None
    if thing and _singular(thing[-1]) == verb and thing[-1] != verb:
        fields["action"] = "place"
    return step.with_(fields=fields)


def _singular(noun: str) -> str:
    return noun.removesuffix("s")


def _without(text: str, words: frozenset[str]) -> str:
    return " ".join(word for word in text.split() if word.lower().strip(",") not in words).strip(" ,")


def _with_distance(talk: Talk, step: Found) -> Found:
    """``step`` with the distance of its clause as part of its place: "keep the fob · five metres away"."""
    if not _MOVES.match(step.fields["action"]):
        return step
    value = next((v for v in talk.values_in(step.start, _reach(talk, step)) if _is_distance(talk, step, v)), None)
    first = None if value is None else talk.token_of(value.first)
    if value is None or first is None:
        return step
    far, end = _told(talk, value, first)
    place = str(step.fields.get("place") or "")
    taken_back = [each.quantity.said.strip(".,;:?!") for each in value.corrected_from]
    wrong = next((each for each in taken_back if each and each in place), None)
    if wrong:
        place = place.replace(wrong, far)
    elif place and far.endswith(place):
        place = far
    elif far not in place:
        place = f"{far}, {place}" if place else far
    also = step.also if end <= step.end else (*step.also, (first, end))
    bare = talk.transcript.text(value.first, value.last).strip(".,;:?!")
    thing = str(step.fields["object"])
    if thing.lower().endswith(bare.lower()):
        thing = thing[: -len(bare)].rstrip(" ,")  # "the tray ten mil"
    return step.with_(fields={**step.fields, "object": thing, "place": place}, also=also)


def _reach(talk: Talk, step: Found) -> int:
    """Where the words of the step end, a correction of its distance included."""
    sentence = talk.doc[step.end - 1].sent
    return min(sentence.end, step.end + _BEHIND)


def _is_distance(talk: Talk, step: Found, value: Value) -> bool:
    if not value.is_usable or value.quantity.dimension != "length" or value.is_drive:
        return False
    if step.size is not None and step.size.first == value.first:
        return False
    told = [value.first, *(each.first for each in value.corrected_from)]
    # "keep everybody back, ten metres": right behind a comma it belongs to the deed as well
    inside = [t for word in told if (t := talk.token_of(word)) is not None and step.start <= t <= step.end + _COMMA]
    if not inside:
        return False
    if value.quantity.unit in _FAR:
        return True
    return value.quantity.unit in _SMALL and _way_behind(talk, value) is not None


def _way_behind(talk: Talk, value: Value) -> int | None:
    """The token behind the value where that tells which way: "an inch forward"."""
    last = talk.token_of(value.last)
    if last is None:
        return None
    while last + 1 < len(talk.doc) and talk.word(last + 1) == value.last:
        last += 1
    behind = last + 1
    sentence_end = talk.doc[last].sent.end
    return behind if behind < sentence_end and talk.doc[behind].lower_ in _WAY else None


def _told(talk: Talk, value: Value, first: int) -> tuple[str, int]:
    """The distance in words with the way that it goes: "at least five metres away from the vehicle"; and its end."""
    far = talk.transcript.text(value.first, value.last).strip(".,;:?!")
    behind = _way_behind(talk, value)
    if behind is None:
        return far[:1].lower() + far[1:], max(first + 1, _end_of(talk, value))
    end, limit = behind + 1, talk.doc[behind].sent.end
    if end < limit and talk.doc[end].lower_ in _AWAY_FROM:
        stop = noun_phrase(talk.doc, end + 1, limit)
        end = stop if stop > end + 1 else end
    return f"{far[:1].lower()}{far[1:]} {text_of(talk.doc, behind, end)}", end


def _end_of(talk: Talk, value: Value) -> int:
    last = talk.token_of(value.last)
    return 0 if last is None else last + 1
