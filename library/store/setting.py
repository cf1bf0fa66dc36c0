"""One setting of the department, put in place of the one before."""

from typing import Any

from sqlalchemy.orm import Session

from vouchbook.library.store.people_tables import SettingRow
from vouchbook.models.record import Record


def plain(value: Record) -> dict[str, object]:
    """A setting as JSON, the same for the same: sets have no order."""
    told = value.model_dump(mode="json")
    return {name: sorted(part) if isinstance(part, list) else part for name, part in told.items()}


def put_setting(session: Session, name: str, value: Any) -> Any:  # noqa: ANN401  whatever JSON holds
    """Stores ``value``; gives what it was before, or None."""
    row = session.get(SettingRow, name)
    before = row.value if row else None
    if row is None:
        session.add(SettingRow(name=name, value=value))
    else:
        row.value = value
    session.flush()
    return before
