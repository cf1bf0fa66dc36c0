"""How a hazard is told: a pattern, the hazard it tells, and the signal word that its consequence asks for.

The signal words are those of ANSI Z535.6 (2011), chosen by what happens if the hazard is not avoided, whatever word the
talker uses. ISO 3864-2 knows the first three.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from vouchbook.extract.read.tape import words_pattern
from vouchbook.models.items import Hazard, Signal


@dataclass(frozen=True, slots=True)
class Harm:
    """A way to tell a hazard. ``weight`` 2: enough on its own; 1: a hint, only beside a prohibition or another."""

    pattern: re.Pattern[str]
    signal: Signal
    weight: int


@dataclass(frozen=True, slots=True)
class HazardRule:
    """A :class:`Harm` with the hazard that it tells."""

    hazard: Hazard
    harm: Harm


def danger(*alternatives: str, hint: bool = False) -> Harm:
    """It will kill or maim: live high voltage, gas above 100 bar and springs that can kill belong here."""
    return _harm(alternatives, "danger", hint=hint)


def warning(*alternatives: str, hint: bool = False) -> Harm:
    """It could kill or maim."""
    return _harm(alternatives, "warning", hint=hint)


def caution(*alternatives: str, hint: bool = False) -> Harm:
    """It could do minor or moderate injury."""
    return _harm(alternatives, "caution", hint=hint)


def notice(*alternatives: str, hint: bool = False) -> Harm:
    """It damages things only; the 2011 edition no longer allows "caution" for that."""
    return _harm(alternatives, "notice", hint=hint)


def told(hazard: Hazard, *harms: Harm) -> Iterator[HazardRule]:
    """The rules that tell ``hazard``, in the order given."""
    return (HazardRule(hazard, harm) for harm in harms)


def _harm(alternatives: tuple[str, ...], signal: Signal, *, hint: bool) -> Harm:
    return Harm(words_pattern(*alternatives), signal, 1 if hint else 2)


BODY = (
    r"(?:hand|hands|finger|fingers|arm|arms|foot|feet|leg|legs|head|heads|face|skull|ribs|eye|eyes|skin|shins?|toes?|"
    r"thumb|nose|neck|throat|back|knee|knees|chest|teeth|lungs|glove|wrist)"
)
"""What of a person gets hurt."""
SOMEBODYS_BODY = (
    rf"(?:your|my|his|her|a|the|somebody 's|someone 's|yer|their|whoever 's) (?:\w+ )?{BODY}"  # "your right hand"
)
HURTS = (
    r"(?:hurt|crush|squash|trap|pin|hit|catch|break|burn|cook|blind|sting|spray|splash|soak|shock|bite|throw|knock|"
    r"pull|drag|suck|wind|wrap|cut|slice|rip|tear|take|have|chop|bounce|tip|drop|fall|fly|come|go|swing|whip|kick|roll|"
    r"run|blow|shoot|spit|jump|shift|slide|slam|snap|squeeze|poison|choke|gas|scald|fold|topple|land|push)"
)
"""What a machine does to a person, in plain words."""
