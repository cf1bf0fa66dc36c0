"""What the department sets. It is stored in the library: the same rules hold for all who work with it."""

from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.review.rules import Department
from vouchbook.library.store.people_tables import SettingRow
from vouchbook.models.errors import SettingError

_DEPARTMENT = "department"
_MOST_MONTHS = 120


def department(session: Session) -> Department:
    """What was set, or what holds where nothing was."""
    row = session.get(SettingRow, _DEPARTMENT)
    return Department.model_validate(row.value) if row else Department()


def set_department(work: Work, wanted: Department) -> None:
    """Sets all of it, by an administrator. What is decided already stays decided; what is open follows the new rules.

    Raises:
        NotAllowedError: not by an administrator.
        SettingError: months that are none.
    """
    work.needs("administrator")
    for kind, months in wanted.reverify_months.items():
        if not 1 <= months <= _MOST_MONTHS:
            raise SettingError(f"re-verify months of {kind!r}: {months} is none. Give 1 to {_MOST_MONTHS}.")
    row = work.session.get(SettingRow, _DEPARTMENT)
    before, after = row.value if row else None, _plain(wanted)
    if row is None:
        work.session.add(SettingRow(name=_DEPARTMENT, value=after))
    else:
        row.value = after
    work.journal("set", "setting", _DEPARTMENT, {"before": before, "after": after})


def _plain(department: Department) -> dict[str, object]:
    """As JSON, the same for the same: sets have no order."""
    told = department.model_dump(mode="json")
    return {name: sorted(value) if isinstance(value, list) else value for name, value in told.items()}
