from datetime import datetime, timedelta
from typing import Protocol

import pytest
from sqlalchemy import select

from vouchbook.library.keeping.rows import tables
from vouchbook.library.open import Library
from vouchbook.library.people.tries import Limit, count_try, forget_tries, wait_s
from vouchbook.library.store.people_tables import SignInTryRow
from vouchbook.models.people import THE_LIBRARY

TWO = Limit(most=2, within=timedelta(minutes=10))
DAY = timedelta(days=1)


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime


def counted(library: Library, name: str, kept_for: timedelta = DAY) -> datetime:
    with library.work(THE_LIBRARY) as work:
        count_try(work, name, kept_for)
        return work.at


def left_s(library: Library, name: str, at: datetime) -> int:
    with library.reading() as session:
        return wait_s(session, name, TWO, at)


@pytest.mark.parametrize(
    ("tries_s", "at_s", "waits"),
    [
        pytest.param([], 0, 0, id="none"),
        pytest.param([0], 1, 0, id="one-of-two"),
        pytest.param([0, 100], 100, 500, id="until-the-first-is-ten-minutes-old"),
        pytest.param([0, 100], 599.5, 1, id="nearly"),
        pytest.param([0, 100], 600, 0, id="the-window-has-moved-on"),
        pytest.param([0, 100, 200], 200, 500, id="the-last-two-count"),
        pytest.param([300, 400], 0, 900, id="the-clock-was-set-back"),
        pytest.param([86400, 86401], 0, 0, id="the-clock-was-far-ahead"),
    ],
)
def test_so_many_tries_in_any_stretch(
    library: Library, clock: Wound, tries_s: list[float], at_s: float, waits: int
) -> None:
    begun = clock.at
    for after_s in tries_s:
        clock.at = begun + timedelta(seconds=after_s - 1)  # it goes on by a second when it is looked at
        counted(library, "login ada", timedelta(days=9))
    assert left_s(library, "login ada", begun + timedelta(seconds=at_s)) == waits
    assert left_s(library, "login olin", begun + timedelta(seconds=at_s)) == 0


def test_what_is_over_is_forgotten_and_no_name_is_kept(library: Library, clock: Wound) -> None:
    counted(library, "login ada")
    counted(library, "address 192.0.2.7")
    with library.work(THE_LIBRARY) as work:
        forget_tries(work, "login ada")
    clock.at += timedelta(days=2)
    at = counted(library, "login olin")
    with library.reading() as session:
        (row,) = session.scalars(select(SignInTryRow))
    assert row.at == at
    assert "olin" not in row.name_hash


def test_no_bag_takes_them_along() -> None:
    assert "sign_in_try" not in {table.name for table in tables()}
