"""Legal holds: while one stands on a visit, neither retention nor a withdrawn consent removes anything of it."""

from pydantic import AwareDatetime
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.keeping.removal import KEEPERS, WHEN_FREE, is_held
from vouchbook.library.store.tables import HoldRow, MediumRow, VisitMediumRow, VisitRow
from vouchbook.models.errors import ConflictError, SettingError
from vouchbook.models.record import Record


class Hold(Record):
    """A legal hold: it stands until it is lifted."""

    id: int
    visit_id: int
    reason: str
    placed_by: int
    placed_at: AwareDatetime
    lifted_by: int | None = None
    lifted_at: AwareDatetime | None = None


def place_hold(work: Work, visit_id: int, reason: str) -> int:
    """Places a hold, beside those that stand already; returns its number. The journal does not repeat the reason.

    Raises:
        NotAllowedError: not by an archivist or administrator, or by nobody.
        NotFoundError: no such visit.
        SettingError: no reason.
    """
    work.needs(*KEEPERS)
    visit = work.get(VisitRow, visit_id, "visit")
    if not reason.strip():
        raise SettingError("hold: it has no reason. Say who asked for it, or for which case.")
    row = HoldRow(visit_id=visit_id, reason=reason.strip(), placed_by=work.person_id(), placed_at=work.at)
    work.session.add(row)
    work.session.flush()
    _count(work, visit)
    work.journal("placed a hold on", "visit", visit_id, {"hold": row.id})
    return row.id


def lift_hold(work: Work, hold_id: int) -> tuple[str, ...]:
    """Lifts a hold; returns the hashes of media that a withdrawn consent wanted removed and that are free to go now.

    Raises:
        NotAllowedError: not by an archivist or administrator, or by nobody.
        NotFoundError: no such hold.
        ConflictError: it was lifted before.
    """
    work.needs(*KEEPERS)
    row = work.get(HoldRow, hold_id, "hold")
    if row.lifted_at is not None:
        raise ConflictError(f"hold {hold_id}", "it was lifted before", "Look at the holds that stand")
    row.lifted_at, row.lifted_by = work.at, work.person_id()
    work.session.flush()
    _count(work, work.get(VisitRow, row.visit_id, "visit"))
    work.journal("lifted a hold on", "visit", row.visit_id, {"hold": hold_id})
    return tuple(sha256 for sha256 in free_to_go(work.session) if _has(work.session, row.visit_id, sha256))


def holds(session: Session, visit_id: int | None = None, *, is_standing: bool = False) -> tuple[Hold, ...]:
    """All holds, or those of one visit, or those that stand; the newest first.

    Raises:
        NotFoundError: no such visit.
    """
    asked = select(HoldRow).order_by(HoldRow.id.desc())
    if visit_id is not None:
        found(session, VisitRow, visit_id, "visit")
        asked = asked.where(HoldRow.visit_id == visit_id)
    if is_standing:
        asked = asked.where(HoldRow.lifted_at.is_(None))
    return tuple(hold_of(row) for row in session.scalars(asked))


def hold_of(row: HoldRow) -> Hold:
    """The record of a row."""
    return Hold.model_validate({name: getattr(row, name) for name in Hold.model_fields})


def free_to_go(session: Session) -> tuple[str, ...]:
    """Media that a withdrawn consent wanted removed while a hold stood, and on which none stands any more."""
    waiting = select(MediumRow.sha256).where(MediumRow.hidden_reason == WHEN_FREE, MediumRow.removed_at.is_(None))
    hashes = session.scalars(waiting.order_by(MediumRow.sha256)).all()
    return tuple(sha256 for sha256 in hashes if not is_held(session, sha256))


def _count(work: Work, visit: VisitRow) -> None:
    standing = (
        select(func.count()).select_from(HoldRow).where(HoldRow.visit_id == visit.id, HoldRow.lifted_at.is_(None))
    )
    visit.hold_count = work.session.scalar(standing) or 0


def _has(session: Session, visit_id: int, sha256: str) -> bool:
    of_visit = select(VisitMediumRow.id).where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.sha256 == sha256)
    return session.scalar(of_visit.limit(1)) is not None
