from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from vouchbook.library.audit.chain import Head
from vouchbook.library.audit.journal import entries, entries_about, head, verify
from vouchbook.library.open import Library
from vouchbook.library.people.people import add_person
from vouchbook.library.store.open import writer_of
from vouchbook.models.people import THE_LIBRARY


def write(library: Library, number: int) -> None:
    with library.work(THE_LIBRARY) as work:
        work.journal("tried", "setting", f"s{number}", {"n": number, "share": 0.1, "word": "Öl \u0000 \u2028"})


@pytest.fixture
def told(library: Library) -> Library:
    for number in range(1, 8):
        write(library, number)
    return library


def without_triggers(library: Library, *statements: str) -> None:
    """As somebody would who has the database in hand."""
    names = ("journal_stays", "journal_keeps", "journal_follows")
    with writer_of(library.engine).begin() as connection:
        if connection.dialect.name == "sqlite":
            for name in names:
                connection.execute(text(f"DROP TRIGGER {name}"))
        else:
            connection.execute(text("DROP TRIGGER journal_stays ON journal"))
        for statement in statements:
            connection.execute(text(statement))


def test_what_was_written_is_read_and_verifies(told: Library) -> None:
    with told.reading() as session:
        assert [entry.what_id for entry in entries(session)] == [f"s{n}" for n in range(1, 8)]
        assert [entry.seq for entry in entries(session, after=5, part=1)] == [6, 7]
        assert [entry.body["n"] for entry in entries_about(session, "setting", "s3")] == [3]
        assert verify(session, [head(session)]) is None
        assert head(session).seq == 7


def test_a_journal_in_which_nothing_is_verifies(library: Library) -> None:
    with library.reading() as session:
        assert head(session).seq == 0
        assert verify(session, [head(session)]) is None


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE journal SET act = 'other' WHERE seq = 3",
        "UPDATE journal SET own_hash = own_hash WHERE seq = 3",
        "DELETE FROM journal WHERE seq = 7",
        "DELETE FROM journal",
    ],
)
def test_the_database_itself_refuses_to_change_it(told: Library, statement: str) -> None:
    with pytest.raises(DBAPIError, match="the journal only grows"), writer_of(told.engine).begin() as connection:
        connection.execute(text(statement))
    with told.reading() as session:
        assert verify(session) is None
        assert head(session).seq == 7


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_sqlite_does_not_replace_an_entry_either(told: Library) -> None:
    columns = "seq, at, person_id, 'other', what, what_id, body, before_hash, own_hash"
    replace = f"INSERT OR REPLACE INTO journal SELECT {columns} FROM journal WHERE seq = 3"  # noqa: S608
    with pytest.raises(DBAPIError, match="the journal only grows"), writer_of(told.engine).begin() as connection:
        connection.execute(text(replace))


@pytest.mark.parametrize("where", ["postgresql"], indirect=True)
def test_postgresql_does_not_empty_it_either(told: Library) -> None:
    with pytest.raises(DBAPIError, match="the journal only grows"), writer_of(told.engine).begin() as connection:
        connection.execute(text("TRUNCATE journal"))


@pytest.mark.parametrize(
    ("statements", "seq", "says"),
    [
        pytest.param(["UPDATE journal SET act = 'other' WHERE seq = 3"], 3, "not what was written", id="act"),
        pytest.param(["UPDATE journal SET what_id = 's9' WHERE seq = 7"], 7, "not what was written", id="last row"),
        pytest.param(["UPDATE journal SET body = '{}' WHERE seq = 1"], 1, "not what was written", id="first body"),
        pytest.param(
            ["UPDATE journal SET at = (SELECT at FROM journal WHERE seq = 2) WHERE seq = 3"],
            3, "not what was written", id="time",
        ),
        pytest.param(["UPDATE journal SET own_hash = 'x' WHERE seq = 4"], 4, "no entry any more", id="no hash"),
        pytest.param(["UPDATE journal SET act = '' WHERE seq = 4"], 4, "no entry any more", id="no act"),
        pytest.param(["DELETE FROM journal WHERE seq = 4"], 4, "is missing", id="deleted"),
        pytest.param(["DELETE FROM journal WHERE seq < 3"], 1, "is missing", id="beginning deleted"),
        pytest.param(
            ["DELETE FROM journal WHERE seq = 4", "UPDATE journal SET seq = 4 WHERE seq = 5",
             "UPDATE journal SET seq = 5 WHERE seq = 6", "UPDATE journal SET seq = 6 WHERE seq = 7"],
            4, "not what was written", id="deleted and closed up",
        ),
        pytest.param(
            ["UPDATE journal SET seq = 99 WHERE seq = 3", "UPDATE journal SET seq = 3 WHERE seq = 5",
             "UPDATE journal SET seq = 5 WHERE seq = 99"],
            3, "not what was written", id="two swapped",
        ),
    ],
)  # fmt: skip
def test_the_first_entry_that_somebody_tampered_with_is_named(
    told: Library, statements: list[str], seq: int, says: str
) -> None:
    without_triggers(told, *statements)
    with told.reading() as session:
        found = verify(session)
    assert found is not None
    assert found.seq == seq
    assert says in found.sentence


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_unreadable_json_is_named_too(told: Library) -> None:
    without_triggers(told, "UPDATE journal SET body = '{half' WHERE seq = 5")
    with told.reading() as session:
        found = verify(session)
    assert found is not None
    assert found.seq == 5


def test_a_cut_off_end_is_found_by_a_head_that_was_kept(told: Library) -> None:
    with told.reading() as session:
        kept = Head.read(str(head(session)))
    without_triggers(told, "DELETE FROM journal WHERE seq > 5")
    with told.reading() as session:
        assert verify(session) is None
        found = verify(session, [kept])
    assert found is not None
    assert (found.seq, "head of entry 7 was kept" in found.sentence) == (6, True)


def test_a_clock_that_goes_back_changes_no_order(library: Library) -> None:
    write(library, 1)
    clock = library.clock
    before = clock.at  # type: ignore[attr-defined]
    clock.at = before - timedelta(hours=2)  # type: ignore[attr-defined]
    write(library, 2)
    write(library, 3)
    with library.reading() as session:
        first, second, third = entries(session)
        assert verify(session) is None
    assert second.at < first.at < second.at + timedelta(hours=2)
    assert second.body["clock_behind_s"] == 7199.0
    assert "clock_behind_s" not in third.body


def test_many_at_once_make_one_chain(library: Library) -> None:
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda number: write(library, number), range(60)))
    with library.reading() as session:
        assert verify(session) is None
        assert sorted(entry.body["n"] for entry in entries(session)) == list(range(60))


def test_what_did_not_come_about_left_no_entry(library: Library) -> None:
    def fail() -> None:
        with library.work(THE_LIBRARY) as work:
            add_person(work, "ada", "Ada", [])
            raise LookupError("stopped")

    with pytest.raises(LookupError, match="stopped"):
        fail()
    write(library, 1)
    with library.reading() as session:
        assert [entry.act for entry in entries(session)] == ["tried"]
        assert verify(session) is None
