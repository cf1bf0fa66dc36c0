"""A thing that goes somewhere: "the shield comes away", "that goes across", "the cover lifts out"."""

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.moved import moved, thing_first
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_MOVES = frozenset("go goes come comes lift lifts slide slides pull pulls pop pops unplugs unclips unscrews".split())
_TELL_WHAT_HAPPENS = frozenset("if when once before after until because while".split())
""" "Once the shield comes away" is a condition."""
_GO_BY_THEMSELVES = frozenset("it they she this".split())
""" "It leaves on the left" tells; "that comes out" is meant to be done."""

_NONE = frozenset("nothing none nobody no neither".split())
""" "Nothing comes off there" tells that there is nothing to take off."""
_NOBODY_MOVES = frozenset(
    """
    lamp lamps light lights led screen display alarm horn beeper engine motor fan smoke gas water flame flames fire
    steam air noise acid oil fuel liquid vapour vapor foam relay contactor contactors valve power
    """.split()
)
""" "The ready lamp goes out", "smoke comes out": signs and what happens, never deeds."""


def goes(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that ``clause`` tells as where a thing goes, or None."""
    doc = talk.doc
    subject = thing_first(doc, clause)
    if subject is None or clause.marker in _TELL_WHAT_HAPPENS:
        return None
    verb = subject[1]
    by_itself = doc[clause.body].lower_ in _GO_BY_THEMSELVES or doc[verb - 1].lower_ in _NOBODY_MOVES
    if doc[verb].lower_ not in _MOVES or by_itself or doc[clause.body].lower_ in _NONE:
        return None
    return moved(doc, verb, clause.end, subject, "goes")
