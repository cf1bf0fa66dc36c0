"""What people listened to, as their players report it: kept, so that nobody vouches for danger unheard."""

from collections.abc import Iterable

from pydantic import Field
from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.keeping.removal import medium_for
from vouchbook.library.store.tables import MediumRow, PlayRow, VisitMediumRow, VisitRow
from vouchbook.models.errors import ConflictError, NotFoundError
from vouchbook.models.record import Record


class Played(Record):
    """Seconds ``start_s`` to ``end_s`` of the recording with this hash, in the recording's own seconds."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    start_s: float = Field(ge=0, le=1e6)
    end_s: float = Field(gt=0, le=1e6)


def report(work: Work, visit_id: int, played: Iterable[Played]) -> int:
    """Keeps what the person who acts has just listened to; returns how many ranges. A range that lasts no time is none.

    The library takes the player's word for it: it cannot see who listens.

    Raises:
        NotFoundError: no such visit, or the visit has no such recording.
        NotAllowedError: the recording is hidden from whoever acts, who cannot have heard it here.
        ConflictError: the recording was removed.
    """
    person = work.person_id()
    work.get(VisitRow, visit_id, "visit")
    of_visit = (
        select(MediumRow.sha256, MediumRow.removed_at)
        .join(VisitMediumRow, VisitMediumRow.sha256 == MediumRow.sha256)
        .where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.role == "recording")
    )
    removed = {row.sha256: row.removed_at for row in work.session.execute(of_visit)}
    rows = []
    for one in played:
        if one.sha256 not in removed:
            raise NotFoundError(
                f"recording {one.sha256[:12]}", f"visit {visit_id} has none of that hash", "Load the visit again"
            )
        if removed[one.sha256] is not None:
            raise ConflictError(f"recording {one.sha256[:12]}", "it was removed", "Decide without it")
        medium_for(work.session, one.sha256, work.actor.roles)
        if one.end_s > one.start_s:
            rows.append(PlayRow(visit_id=visit_id, person_id=person, at=work.at, **one.model_dump()))
    work.session.add_all(rows)
    work.session.flush()
    return len(rows)
