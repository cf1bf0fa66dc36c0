"""The files of a visit: copied into the media folder first, then made part of the visit."""

from mimetypes import guess_type

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.store.media import Stored, plain_name
from vouchbook.library.store.tables import DraftRow, MediumRow, VisitMediumRow, VisitRow
from vouchbook.library.visits.sentences import place_anew
from vouchbook.models.errors import ConflictError
from vouchbook.models.visits import MediumRole


def attach(work: Work, visit_id: int, stored: Stored, role: MediumRole, name: str) -> bool:
    """Makes a file of the media folder part of a visit, last in order; False if it was already.

    ``stored`` comes from ``library.media.add``, before the piece of work. ``name`` is for people: it is never a path.

    Raises:
        NotAllowedError: not by an officer or archivist.
        NotFoundError: no such visit.
        ConflictError: this file was removed from the library for a reason that stands.
    """
    work.needs("officer", "archivist")
    work.get(VisitRow, visit_id, "visit")
    shown = plain_name(name)
    medium = work.session.get(MediumRow, stored.sha256)
    if medium is not None and medium.removed_at is not None:
        raise ConflictError(
            f"medium {shown!r}",
            f"this file was removed on {medium.removed_at:%d %B %Y} ({medium.removed_reason})",
            "Leave it out, or ask an archivist",
        )
    of_visit = VisitMediumRow.visit_id == visit_id
    there = select(VisitMediumRow).where(of_visit, VisitMediumRow.sha256 == stored.sha256, VisitMediumRow.role == role)
    if work.session.scalar(there) is not None:
        return False
    if medium is None:
        media_type = guess_type(shown)[0] or "application/octet-stream"
        fields = {"sha256": stored.sha256, "size_bytes": stored.size_bytes, "media_type": media_type}
        work.session.add(MediumRow(**fields, added_at=work.at))
        work.session.flush()
    position = work.session.scalar(select(func.count()).select_from(VisitMediumRow).where(of_visit)) or 0
    work.session.add(VisitMediumRow(visit_id=visit_id, sha256=stored.sha256, role=role, name=shown, position=position))
    work.journal("got a file", "visit", visit_id, {"sha256": stored.sha256, "role": role})
    if role == "recording":
        for draft in work.session.scalars(select(DraftRow).where(DraftRow.visit_id == visit_id)):
            place_anew(work.session, draft)
    return True


def kept_media(session: Session) -> tuple[tuple[str, int], ...]:
    """Hash and size of each file that the media folder should hold; ``library.media.troubles`` takes them."""
    asked = select(MediumRow.sha256, MediumRow.size_bytes).where(MediumRow.removed_at.is_(None))
    return tuple((row.sha256, row.size_bytes) for row in session.execute(asked.order_by(MediumRow.sha256)))
