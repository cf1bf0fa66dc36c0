import pytest

from vouchbook.library.audit.journal import entries_about, verify
from vouchbook.library.open import Library
from vouchbook.library.review.decide import decide
from vouchbook.library.review.department import department
from vouchbook.library.review.rules import Department
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.settings import Restated, set_department
from vouchbook.library.store.tables import ItemRow
from vouchbook.library.visits.bring import bring
from vouchbook.models.decisions import Judgement
from vouchbook.models.draft import Draft
from vouchbook.models.errors import NotAllowedError, SettingError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit


def test_nothing_set_is_the_default(library: Library) -> None:
    with library.reading() as session:
        assert department(session) == Department()


def test_what_is_set_stays_and_is_told(library: Library, staff: dict[str, Actor]) -> None:
    first = Department(second_for_kinds=frozenset({"warning", "step"}), reverify_months={"loader": 12})
    second = Department(is_one_person=True)
    for wanted in (first, second):
        with library.work(staff["administrator"]) as work:
            set_department(work, wanted)
        with library.reading() as session:
            assert department(session) == wanted
    with library.reading() as session:
        told = entries_about(session, "setting", "department")
    assert told[0].body["before"] is None
    assert told[0].body["after"]["second_for_kinds"] == ["step", "warning"]
    assert told[1].body["before"] == told[0].body["after"]


def test_only_an_administrator_sets_it(library: Library, staff: dict[str, Actor]) -> None:
    with pytest.raises(NotAllowedError, match="only an administrator"), library.work(staff["reviewer"]) as work:
        set_department(work, Department(is_one_person=True))


@pytest.mark.parametrize("months", [0, -3, 121])
def test_months_that_are_none_are_refused(library: Library, staff: dict[str, Actor], months: int) -> None:
    wanted = Department(reverify_months={"loader": months})
    with (
        pytest.raises(SettingError, match="months of 'loader'"),
        library.work(staff["administrator"]) as work,
    ):
        set_department(work, wanted)


def test_what_is_on_the_table_follows_new_rules_at_once(
    library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft
) -> None:
    bring(library, staff["officer"], visit, draft)
    with library.work(staff["reviewer"]) as work:
        for item_id in (1, 2):
            decide(work, item_id, 1, Judgement(verdict="confirmed"))
    for wanted, states, back, on in (
        (Department(is_one_person=True), ["confirmed", "confirmed"], 0, 1),
        (Department(second_for_kinds=frozenset({"cue"})), ["waits for a second person"] * 2, 2, 0),
        (Department(), ["confirmed", "waits for a second person"], 0, 1),
        (Department(), ["confirmed", "waits for a second person"], 0, 0),
    ):
        with library.work(staff["administrator"]) as work:
            assert set_department(work, wanted) == Restated(put_back=back, now_decided=on)
        with library.reading() as session:
            assert [session.get_one(ItemRow, item_id).state for item_id in (1, 2)] == states
            found = find(session.connection(), parse("is:confirmed")).results
            assert len(found) == states.count("confirmed")
            assert verify(session) is None
