"""Which editions are due to be verified again: since they were published, or were verified the last time."""

from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.editions.shelf import Shelved, is_in_force, shelved
from vouchbook.library.editions.verifications import due_on
from vouchbook.library.store.tables import EditionRow
from vouchbook.models.record import Record


class Due(Record):
    """An edition in force and the days left until it is due; negative where it is overdue."""

    edition: Shelved
    days_left: int


def due(session: Session, on: date, within_days: int = 0) -> tuple[Due, ...]:
    """The editions in force that are due on the day ``on`` or within so many days after it, the longest due first."""
    day = due_on()
    asked = select(EditionRow.id, day.label("day")).where(is_in_force(), day <= on + timedelta(days=within_days))
    rows = session.execute(asked.order_by(day, EditionRow.id)).all()
    return tuple(Due(edition=shelved(session, row.id), days_left=(row.day - on).days) for row in rows)
