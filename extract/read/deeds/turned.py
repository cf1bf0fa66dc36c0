"""A movement told without its verb: "down to off", "a quarter turn to the left", "straight out"."""

from vouchbook.extract.read.deeds.deed import NAMED_BEFORE, Deed
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern

_CLOCKWISE = r"clockwise|anti ?-? ?clockwise|counter ?-? ?clockwise"
_TURNED = words_pattern(
    # "right down to off", "round to the left"
    r"(?:right |straight |all the way )?"
    r"(?P<way>(?:down|up|over|round|across|back) to (?:off|zero|nought|park|neutral|the (?:left|right|stop)|[a-z]+))",
    # "it's a quarter turn to the left", "half a turn"
    r"(?:it 's |that 's |then it 's |then )?(?:just )?(?:a |an |one )?"
    rf"(?P<turn>(?:quarter|half)(?: of)?(?: a)? turn"
    rf"(?: (?:{_CLOCKWISE}|left|right|to the left|to the right|to left|to right))?)",
    # "clockwise", "to the right a half turn"
    rf"(?:it 's |that 's )?(?P<round>(?:{_CLOCKWISE}|to the left|to left|to the right|to right))"
    r"(?: (?:a )?(?:quarter|half)(?: a)? turn)?",
    # "straight out"
    r"(?P<out>straight (?:out|up|off|down|back))",
)
_MAY_FOLLOW = words_pattern("with|and|till|until|by|on|please")
""" "Clockwise till it stops"; "down to the cellar and left" is a way to walk, "to the left there's a box" a place."""


def turned(talk: Talk, clause: Clause) -> Deed | None:
    """The deed of a ``clause`` that tells only how a thing named before is turned or pulled, or None."""
    line = talk.tape(clause.body, clause.end)
    match = _TURNED.match(line.text)
    if match is None or (match.end() < len(line.text) and not _MAY_FOLLOW.match(line.text, match.end() + 1)):
        return None
    way = match.lastgroup or "way"
    first, after = line.token(match.start(way)), line.token(match.end() - 1) + 1
    said = " ".join(talk.doc[first:after].text.split()).lower()
    return Deed("wanted", first, f"pull {said}" if way == "out" else f"turn {said}", after, NAMED_BEFORE)
