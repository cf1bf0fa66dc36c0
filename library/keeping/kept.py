"""Media as those who keep the library see them: what each is to which visit, and whether it is out of sight or gone."""

from collections.abc import Iterable
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.store.tables import MediumRow, VisitMediumRow
from vouchbook.models.record import Record
from vouchbook.models.visits import MediumRole


class Use(Record):
    """What a medium is to a visit, and under which name it came."""

    visit_id: int
    role: MediumRole
    name: str


class KeptMedium(Record):
    """A medium with its uses; ``reason`` says why it is hidden or was removed."""

    sha256: str
    uses: tuple[Use, ...]
    state: Literal["shown", "hidden", "removed"]
    reason: str | None = None


def media_of(session: Session, hashes: Iterable[str]) -> dict[str, KeptMedium]:
    """Those of ``hashes`` that the library knows, in that order."""
    wanted = dict.fromkeys(hashes)
    uses: dict[str, list[Use]] = {}
    asked = select(VisitMediumRow).where(VisitMediumRow.sha256.in_(wanted)).order_by(VisitMediumRow.id)
    for row in session.scalars(asked):
        use = {"visit_id": row.visit_id, "role": row.role, "name": row.name}
        uses.setdefault(row.sha256, []).append(Use.model_validate(use))
    rows = {row.sha256: row for row in session.scalars(select(MediumRow).where(MediumRow.sha256.in_(wanted)))}
    return {one: _kept(rows[one], uses.get(one, [])) for one in wanted if one in rows}


def media_of_visit(session: Session, visit_id: int) -> tuple[KeptMedium, ...]:
    """The media of a visit in their order, each once."""
    asked = select(VisitMediumRow.sha256).where(VisitMediumRow.visit_id == visit_id).order_by(VisitMediumRow.position)
    return tuple(media_of(session, session.scalars(asked).all()).values())


def _kept(row: MediumRow, uses: Iterable[Use]) -> KeptMedium:
    if row.removed_at is not None:
        return KeptMedium(sha256=row.sha256, uses=tuple(uses), state="removed", reason=row.removed_reason)
    state: Literal["hidden", "shown"] = "shown" if row.hidden_at is None else "hidden"
    return KeptMedium(sha256=row.sha256, uses=tuple(uses), state=state, reason=row.hidden_reason)
