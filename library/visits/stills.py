"""The stills of a visit, with the second that each shows: a question may be answered from one."""

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import found
from vouchbook.library.keeping.removal import is_shown
from vouchbook.library.store.media import plain_name
from vouchbook.library.store.tables import DraftRow, ItemRow, MediumRow, QuestionRow, VisitMediumRow
from vouchbook.models.draft import Picture
from vouchbook.models.people import Role
from vouchbook.models.record import Record


class VisitStill(Record):
    """A picture of a visit. ``at_s`` is None where the draft does not say what it shows, or two have its name."""

    sha256: str
    name: str
    at_s: float | None = None
    shows: tuple[str, ...] = ()
    """The keys of the items and questions of the draft that it was made for."""


def stills_for(session: Session, draft_id: int, roles: Iterable[Role]) -> tuple[VisitStill, ...]:
    """The stills of the visit of a draft that somebody with ``roles`` may see, in their order.

    Raises:
        NotFoundError: no draft of that number.
    """
    row = found(session, DraftRow, draft_id, "draft")
    asked = select(VisitMediumRow, MediumRow).join(MediumRow, MediumRow.sha256 == VisitMediumRow.sha256)
    of_visit = asked.where(VisitMediumRow.visit_id == row.visit_id, VisitMediumRow.role == "still")
    parts = session.execute(of_visit.order_by(VisitMediumRow.position, VisitMediumRow.id)).all()
    names = [part.name for part, _ in parts]
    shown: dict[str, list[str]] = {}
    for picture in map(Picture.model_validate, row.document.get("pictures", ())):
        shown.setdefault(plain_name(picture.file), []).append(picture.shows)
    middles = _middles(session, draft_id)
    stills = []
    for part, medium in parts:
        if is_shown(medium, roles):
            keys = tuple(key for key in shown.get(part.name, ()) if key in middles and names.count(part.name) == 1)
            at_s = min((middles[key] for key in keys), default=None)
            stills.append(VisitStill(sha256=medium.sha256, name=part.name, at_s=at_s, shows=keys))
    return tuple(stills)


def nearest_first(stills: Iterable[VisitStill], key: str, at_s: float | None) -> tuple[VisitStill, ...]:
    """``stills``, that of the question ``key`` first, then by their distance from its second, those without one last.

    What stands at no second (``at_s`` is None) leaves them in the order of the talk.
    """

    def far(still: VisitStill) -> tuple[bool, bool, float]:
        distance = 0.0 if still.at_s is None else abs(still.at_s - (at_s or 0.0))
        return key not in still.shows, still.at_s is None, distance

    return tuple(sorted(stills, key=far))


def _middles(session: Session, draft_id: int) -> dict[str, float]:
    """The second in the middle of each item and question of a draft, by key."""
    found_: dict[str, float] = {}
    for row in (ItemRow, QuestionRow):
        asked = select(row.key, row.start_s, row.end_s).where(row.draft_id == draft_id)
        found_ |= {one.key: (one.start_s + one.end_s) / 2 for one in session.execute(asked)}
    return found_
