"""Takes media out of sight, or out of the library. What goes is named in the journal by its hash, never silently."""

from collections.abc import Iterable
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.open import Library
from vouchbook.library.store.tables import HoldRow, MediumRow, VisitMediumRow
from vouchbook.models.errors import ConflictError, GoneError, NotAllowedError
from vouchbook.models.people import Role
from vouchbook.models.record import Record

Reason = Literal["consent withdrawn", "kept as long as the rules say", "consent withdrawn, goes when the hold ends"]
CONSENT: Reason = "consent withdrawn"
RETENTION: Reason = "kept as long as the rules say"
WHEN_FREE: Reason = "consent withdrawn, goes when the hold ends"
KEEPERS: tuple[Role, ...] = ("archivist", "administrator")
"""Who still sees what is hidden, and who removes."""


class Gone(Record):
    """A medium that nobody sees any more (``hidden``), or whose file is no longer there (``removed``)."""

    sha256: str
    what: Literal["hidden", "removed"]
    reason: Reason


def is_shown(medium: MediumRow, roles: Iterable[Role]) -> bool:
    """Whether somebody with ``roles`` may see and hear the medium: what is hidden is for those who keep alone."""
    if medium.removed_at is not None:
        return False
    return medium.hidden_at is None or bool(set(roles).intersection(KEEPERS))


def medium_for(session: Session, sha256: str, roles: Iterable[Role]) -> MediumRow:
    """The medium, for somebody with ``roles`` to see or hear: over HTTP, at the terminal and wherever it is named.

    Raises:
        NotFoundError: no such medium.
        GoneError: it was removed.
        NotAllowedError: it is hidden, and they do not keep the library.
    """
    medium = found(session, MediumRow, sha256, "medium")
    name = f"medium {sha256[:12]}"
    if medium.removed_at is not None:
        removed = f"it was removed on {medium.removed_at:%d %B %Y} ({medium.removed_reason})"
        raise GoneError(name, removed, "It does not come back")
    if not is_shown(medium, roles):
        raise NotAllowedError(name, f"it is hidden ({medium.hidden_reason})", "Ask an archivist whether it must be")
    return medium


def is_held(session: Session, sha256: str) -> bool:
    """Whether a legal hold stands on a visit that has this medium."""
    asked = (
        select(HoldRow.id)
        .join(VisitMediumRow, VisitMediumRow.visit_id == HoldRow.visit_id)
        .where(VisitMediumRow.sha256 == sha256, HoldRow.lifted_at.is_(None))
    )
    return session.scalar(asked.limit(1)) is not None


def hide(work: Work, sha256: str, reason: Reason) -> Gone | None:
    """Hides a medium from all but those who keep the library; None where it was hidden or removed before.

    What waits for the end of a hold to be removed goes on waiting, whatever else hides it.

    Raises:
        NotFoundError: no such medium.
    """
    medium = work.get(MediumRow, sha256, "medium")
    if medium.removed_at is not None or medium.hidden_reason in (reason, WHEN_FREE):
        return None
    medium.hidden_at, medium.hidden_reason = work.at, reason
    return _told(work, medium, Gone(sha256=sha256, what="hidden", reason=reason))


def show(work: Work, sha256: str) -> None:
    """Shows a hidden medium again.

    Raises:
        NotAllowedError: not by an archivist or administrator.
        NotFoundError: no such medium.
        ConflictError: it is not hidden.
    """
    work.needs(*KEEPERS)
    medium = work.get(MediumRow, sha256, "medium")
    if medium.hidden_at is None or medium.removed_at is not None:
        raise ConflictError(f"medium {sha256}", "it is not hidden", "Only what is hidden can be shown again")
    medium.hidden_at, medium.hidden_reason = None, None
    work.journal("showed again", "medium", sha256)


def remove(work: Work, sha256: str, reason: Reason) -> Gone | None:
    """Marks a medium as removed; None where it was before. :func:`finish_removals` deletes its file after the commit.

    In this order an interruption leaves a file too many, which the next removal or check finds, and never one that is
    gone though no entry says so.

    Raises:
        NotAllowedError: not by an archivist or administrator.
        NotFoundError: no such medium.
        ConflictError: a legal hold stands on it.
    """
    work.needs(*KEEPERS)
    medium = work.get(MediumRow, sha256, "medium")
    if medium.removed_at is not None:
        return None
    if is_held(work.session, sha256):
        raise ConflictError(f"medium {sha256}", "a legal hold stands on its visit", "Lift the hold first")
    medium.removed_at, medium.removed_reason = work.at, reason
    return _told(work, medium, Gone(sha256=sha256, what="removed", reason=reason))


def finish_removals(library: Library) -> int:
    """Deletes the files of media that are marked as removed; returns how many there were. Again does no harm."""
    with library.reading() as session:
        marked = session.scalars(select(MediumRow.sha256).where(MediumRow.removed_at.is_not(None))).all()
    left = [sha256 for sha256 in marked if library.media.path(sha256).exists()]
    for sha256 in left:
        library.media.remove(sha256)
    return len(left)


def _told(work: Work, medium: MediumRow, gone: Gone) -> Gone:
    of_visits = select(VisitMediumRow.visit_id).where(VisitMediumRow.sha256 == medium.sha256).distinct()
    visits = sorted(work.session.scalars(of_visits))
    act = "hid" if gone.what == "hidden" else "removed"
    work.journal(act, "medium", gone.sha256, {"reason": gone.reason, "visits": visits, "size_bytes": medium.size_bytes})
    return gone
