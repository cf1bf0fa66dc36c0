"""One setting of the department, put in place of the one before."""

from typing import Any

from sqlalchemy.orm import Session

from vouchbook.library.store.people_tables import SettingRow


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
