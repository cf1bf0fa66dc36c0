"""An edition that must not be used any more: it stays, marked, with the reason."""

from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.editions.reasons import told
from vouchbook.library.editions.shelf import Shelved, in_force, shelved
from vouchbook.library.store.tables import DraftRow, EditionRow
from vouchbook.models.errors import ConflictError
from vouchbook.models.record import Record


class Withdrawn(Record):
    """The edition as it is listed now, and the older one that is in force again, if there is one."""

    edition: Shelved
    in_force_again: Shelved | None = None


def withdraw(work: Work, edition_id: int, reason: str) -> Withdrawn:
    """Withdraws an edition. Its draft is on the table again, unless its visit has another there by now.

    Raises:
        NotAllowedError: not by an archivist.
        NotFoundError: none of that number.
        SettingError: no reason.
        ConflictError: it is withdrawn already.
    """
    work.needs("archivist")
    reason = told("withdrawal: a reason", reason, "Say why.")
    row = work.get(EditionRow, edition_id, "edition")
    if row.withdrawn_at is not None:
        raise ConflictError(
            f"edition {edition_id}", f"it was withdrawn on {row.withdrawn_at:%d %B %Y}", "There is nothing to do"
        )
    was_in_force = in_force(work.session, row.subject_id) is row
    row.withdrawn_at, row.withdrawn_by, row.withdrawn_reason = work.at, work.person_id(), reason
    of_visit = select(DraftRow.id).where(DraftRow.visit_id == row.visit_id, DraftRow.state == "open")
    draft = work.session.get_one(DraftRow, row.draft_id)
    reopens = work.session.scalar(of_visit.limit(1)) is None and draft.state == "published"
    if reopens:
        draft.state = "open"
    work.journal("withdrew", "edition", edition_id, {"reason": reason, "draft_is_open": reopens})
    again = in_force(work.session, row.subject_id) if was_in_force else None
    return Withdrawn(
        edition=shelved(work.session, edition_id),
        in_force_again=shelved(work.session, again.id) if again is not None else None,
    )
