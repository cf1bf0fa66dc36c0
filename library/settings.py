"""What the department sets. It is stored in the library: the same rules hold for all who work with it."""

from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.decide import words_now
from vouchbook.library.review.department import DEPARTMENT
from vouchbook.library.review.rules import Department
from vouchbook.library.store.setting import put_setting
from vouchbook.library.store.tables import DraftRow, ItemRow
from vouchbook.library.visits.sentences import word_anew
from vouchbook.models.errors import SettingError

_MOST_MONTHS = 120


def set_department(work: Work, wanted: Department) -> None:
    """Sets all of it, by an administrator. What is published stays; drafts on the table follow the new rules at once.

    Raises:
        NotAllowedError: not by an administrator.
        SettingError: months that are none.
    """
    work.needs("administrator")
    for kind, months in wanted.reverify_months.items():
        if not 1 <= months <= _MOST_MONTHS:
            raise SettingError(f"re-verify months of {kind!r}: {months} is none. Give 1 to {_MOST_MONTHS}.")
    after = _plain(wanted)
    before = put_setting(work.session, DEPARTMENT, after)
    restated = _restate(work)
    work.journal("set", "setting", DEPARTMENT, {"before": before, "after": after, "restated": restated})


def _restate(work: Work) -> int:
    """Says anew where the items of open drafts stand; returns of how many that changed."""
    restated = 0
    for draft_id in work.session.scalars(select(DraftRow.id).where(DraftRow.state == "open")).all():
        for item in Drafted(work.session, draft_id).items():
            row = work.session.get_one(ItemRow, item.item_id)
            if row.state != item.state.name:
                row.state = item.state.name
                word_anew(work.session, row.id, words_now(item))
                restated += 1
    return restated


def _plain(department: Department) -> dict[str, object]:
    """As JSON, the same for the same: sets have no order."""
    told = department.model_dump(mode="json")
    return {name: sorted(value) if isinstance(value, list) else value for name, value in told.items()}
