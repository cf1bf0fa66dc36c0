"""Media in the lines of those who keep them: a short hash, and what the file is to which visit."""

from collections.abc import Iterable

from sqlalchemy.orm import Session

from vouchbook.library.keeping.kept import KeptMedium, media_of
from vouchbook.library.keeping.removal import Gone
from vouchbook.models.errors import SettingError

_SHORT = 12
_SHORTEST = 6
"""A slip of one letter must not mean another file."""


def short(sha256: str) -> str:
    """As much of a hash as is printed and enough to name a medium."""
    return sha256[:_SHORT]


def medium_line(medium: KeptMedium) -> str:
    """ "3f2a1b9c04d5  recording van.ogg of visit 1"."""
    uses = (f"{use.role} {use.name} of visit {use.visit_id}" for use in medium.uses)
    return f"{short(medium.sha256)}  {', '.join(uses) or 'of no visit'}"


def media_lines(session: Session, hashes: Iterable[str]) -> list[str]:
    """A line for each."""
    return [medium_line(medium) for medium in media_of(session, hashes).values()]


def gone_lines(session: Session, gone: Iterable[Gone]) -> list[str]:
    """A line for each medium that went, with what became of it and why."""
    told = {one.sha256: one for one in gone}
    found = media_of(session, told)
    return [f"{told[sha256].what:8} {medium_line(found[sha256])} ({told[sha256].reason})" for sha256 in found]


def named(given: str, known: Iterable[str], where: str) -> str:
    """The one of ``known`` hashes that begins with what was ``given``.

    Raises:
        SettingError: none does, more than one does, or too little was given; ``where`` is the command that lists them.
    """
    if len(given) < _SHORTEST:
        raise SettingError(f"{given!r} is too short for a hash. Give {_SHORTEST} letters of it or more.")
    found = [one for one in dict.fromkeys(known) if one.startswith(given.lower())]
    if len(found) != 1:
        problem = "begins more than one hash" if found else "begins no hash that it could be"
        raise SettingError(f"{given[:80]!r} {problem}. Take it from `{where}`.")
    return found[0]
