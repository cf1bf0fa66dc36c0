from datetime import timedelta

import pytest

from vouchbook.library.open import Library
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.figures import Counts, agreement, counts, pace
from vouchbook.library.review.rules import Department
from vouchbook.library.review.settle import settle
from vouchbook.library.settings import set_department
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.errors import NotFoundError
from vouchbook.models.people import Actor

Staff = dict[str, Actor]
CONFIRMED = Judgement(verdict="confirmed")
REJECTED = Judgement(verdict="rejected", reason="unsafe")


def test_counts_follow_every_change(library: Library, staff: Staff, on_table: int) -> None:
    def now() -> Counts:
        with library.reading() as session:
            return counts(session, on_table)

    assert now() == Counts(items={"open": 3}, questions={"open": 2}, changes=5)
    with library.work(staff["reviewer"]) as work:
        decide(work, 1, 1, CONFIRMED)
        decide(work, 2, 1, REJECTED)
        settle(work, 2, 1, Answer(outcome="carried"))
    waits = {"confirmed": 1, "open": 1, "waits for a second person": 1}
    assert now() == Counts(items=waits, questions={"carried": 1, "open": 1}, changes=8)
    with library.work(staff["reviewer"]) as work:
        undo(work, 1, 2)
    assert (now().items["open"], now().changes) == (2, 9)


def test_there_are_no_counts_of_nothing(library: Library) -> None:
    with pytest.raises(NotFoundError, match="draft 7"), library.reading() as session:
        counts(session, 7)


@pytest.mark.parametrize(
    ("second", "same", "kappa"),
    [
        pytest.param([CONFIRMED, REJECTED], 2, 1.0, id="always"),
        pytest.param([REJECTED, CONFIRMED], 0, -1.0, id="never"),
        pytest.param([CONFIRMED, CONFIRMED], 1, 0.0, id="by-chance"),
    ],
)
def test_how_far_two_people_agree(
    library: Library, staff: Staff, on_table: int, second: list[Judgement], same: int, kappa: float
) -> None:
    """The first confirms the warning and rejects the step, on which both decide. Kappa by hand from its definition."""
    for who, version, judgements in (("reviewer", 1, [CONFIRMED, REJECTED]), ("second", 2, second)):
        with library.work(staff["administrator"]) as work:
            set_department(work, Department(second_for_kinds=frozenset({"step"})))
        with library.work(staff[who]) as work:
            for item_id, judgement in zip((2, 3), judgements, strict=True):
                decide(work, item_id, version, judgement)
    with library.reading() as session:
        (found,) = agreement(session)
        assert (found.one, found.other, found.items, found.same) == (3, 4, 2, same)
        assert found.kappa == pytest.approx(kappa)
        assert agreement(session, [on_table]) == (found,)
        assert agreement(session, [7]) == ()


def test_how_long_an_item_takes(library: Library, staff: Staff, on_table: int) -> None:
    """The clock goes on by a second with each piece of work; a break of an hour is left out."""
    for item_id in (1, 2, 3):
        if item_id == 3:
            library.clock.at += timedelta(hours=1)  # type: ignore[attr-defined]  # the wound clock of the tests
        with library.work(staff["reviewer"]) as work:
            decide(work, item_id, 1, CONFIRMED)
    with library.work(staff["second"]) as work:
        decide(work, 2, 2, CONFIRMED)
    with library.reading() as session:
        found = [(one.person, one.decisions, one.median_s) for one in pace(session, [on_table])]
    assert found == [(3, 3, 1.0), (4, 1, None)]
