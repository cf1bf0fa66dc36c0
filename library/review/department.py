"""What the department has set about reviewing."""

from sqlalchemy.orm import Session

from vouchbook.library.review.rules import Department
from vouchbook.library.store.people_tables import SettingRow

DEPARTMENT = "department"
"""The name of the setting."""


def department(session: Session) -> Department:
    """What was set, or what holds where nothing was."""
    row = session.get(SettingRow, DEPARTMENT)
    return Department.model_validate(row.value) if row else Department()
