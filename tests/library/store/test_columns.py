from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy import select
from sqlalchemy.exc import StatementError

from vouchbook.library.open import Library
from vouchbook.library.store.people_tables import PersonRow, TaskRow
from vouchbook.models.people import THE_LIBRARY

NOON = datetime(2031, 3, 4, 12, 30, 15, 123456, tzinfo=UTC)


@pytest.mark.parametrize("hours", [0, -5, 13])
def test_a_moment_comes_out_in_utc_whatever_zone_it_went_in(library: Library, hours: int) -> None:
    local = NOON.astimezone(timezone(timedelta(hours=hours)))
    with library.work(THE_LIBRARY) as work:
        work.session.add(TaskRow(kind="t", arguments={}, created_at=local))
    with library.reading() as session:
        (found,) = session.scalars(select(TaskRow.created_at).where(TaskRow.created_at == local))
        assert found == NOON
        assert found.tzinfo is UTC


def test_a_moment_without_a_zone_is_refused(library: Library) -> None:
    with pytest.raises(StatementError, match="has no time zone"), library.work(THE_LIBRARY) as work:
        work.session.add(TaskRow(kind="t", arguments={}, created_at=NOON.replace(tzinfo=None)))


@pytest.mark.parametrize(
    "value",
    [
        {"n": 0.1, "large": 1e22, "minus": -0.0, "int": 2**60},
        {"zero": "\x00", "word": "\u00d6l"},
        {"b": 1, "a": [None]},
        {},
    ],
)
def test_json_comes_out_as_it_went_in(library: Library, value: dict[str, object]) -> None:
    with library.work(THE_LIBRARY) as work:
        work.session.add(TaskRow(kind="t", arguments=value, created_at=work.at))
    with library.reading() as session:
        (found,) = session.scalars(select(TaskRow.arguments))
        assert repr(found) == repr(value)


def test_nothing_is_nothing_and_not_the_word_null(library: Library) -> None:
    with library.work(THE_LIBRARY) as work:
        work.session.add(TaskRow(kind="t", arguments={}, created_at=work.at, result=None))
    with library.reading() as session:
        assert session.scalars(select(TaskRow.kind).where(TaskRow.result.is_(None))).all() == ["t"]


def test_the_number_of_a_row_that_is_gone_is_never_given_again(library: Library) -> None:
    numbers = []
    for login in ("ada", "olin"):
        with library.work(THE_LIBRARY) as work:
            row = PersonRow(login=login, name=login, roles=[], created_at=work.at)
            work.session.add(row)
            work.session.flush()
            numbers.append(row.id)
            work.session.delete(row)
            work.journal("tried", "person", row.id)
    assert numbers == [1, 2]
