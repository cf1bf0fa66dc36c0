"""What the department sets. It is stored in the library: the same rules hold for all who work with it."""

from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.decide import words_now
from vouchbook.library.review.department import DEPARTMENT
from vouchbook.library.review.rules import Department
from vouchbook.library.store.setting import plain, put_setting
from vouchbook.library.store.tables import DraftRow, ItemRow
from vouchbook.library.visits.sentences import word_anew
from vouchbook.models.errors import SettingError
from vouchbook.models.record import Record

_MOST_MONTHS = 120
_DECIDED = ("confirmed", "amended", "rejected")


class Restated(Record):
    """How many items of open drafts a new rule moved: back to wait for a second person, or on to be decided."""

    put_back: int = 0
    now_decided: int = 0


def set_department(work: Work, wanted: Department) -> Restated:
    """Sets all of it, by an administrator. What is published stays; drafts on the table follow the new rules at once.

    Raises:
        NotAllowedError: not by an administrator.
        SettingError: months that are none.
    """
    work.needs("administrator")
    for kind, months in wanted.reverify_months.items():
        if not 1 <= months <= _MOST_MONTHS:
            raise SettingError(f"re-verify months of {kind!r}: {months} is none. Give 1 to {_MOST_MONTHS}.")
    after = plain(wanted)
    before = put_setting(work.session, DEPARTMENT, after)
    moved = _restate(work)
    restated = moved.put_back + moved.now_decided
    work.journal("set", "setting", DEPARTMENT, {"before": before, "after": after, "restated": restated})
    return moved


def _restate(work: Work) -> Restated:
    """Says anew where the items of open drafts stand."""
    put_back = now_decided = 0
    for draft_id in work.session.scalars(select(DraftRow.id).where(DraftRow.state == "open")).all():
        for item in Drafted(work.session, draft_id).items():
            row = work.session.get_one(ItemRow, item.item_id)
            if row.state != item.state.name:
                row.state = item.state.name
                word_anew(work.session, row.id, words_now(item))
                is_decided = item.state.name in _DECIDED
                now_decided += is_decided
                put_back += not is_decided
    return Restated(put_back=put_back, now_decided=now_decided)
