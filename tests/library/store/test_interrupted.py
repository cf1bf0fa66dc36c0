"""Each step from one form of the database to the next, up and down, killed and failing in the middle: all or nothing.

The steps are those that there are; a new one is tested without a word here.
"""

import subprocess
import sys
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import Connection, Engine, event, inspect, text

from vouchbook.library.open import open_library
from vouchbook.library.people.people import person
from vouchbook.library.store.migrate import EMPTY, bring_to, version_of, versions
from vouchbook.library.store.open import engine_of, url_of, writer_of

Form = tuple[object, ...]
STEPS = [*pairwise((EMPTY, *versions())), *pairwise((*reversed(versions()), EMPTY))]
"""Each step by itself, up and then down again."""
MOST = 4
"""Statements of one step behind which it is interrupted: the first, the last, and some between."""


@pytest.fixture
def engine(empty_where: str) -> Iterator[Engine]:
    url = url_of(empty_where)
    if url.get_backend_name() == "sqlite":
        Path(url.database or "").parent.mkdir()
    made = engine_of(url, busy_s=20)
    yield made
    made.dispose()


@pytest.fixture
def killed(empty_where: str) -> Iterator[Callable[[str, int], tuple[int, str]]]:
    """Brings the database to a version, killed behind the statement of that number; tells how many, and its end."""
    command = [sys.executable, str(Path(__file__).with_name("stepping.py")), empty_where]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def step(version: str, at: int) -> tuple[int, str]:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(f"{version} {at}\n")
        process.stdin.flush()
        number, how = process.stdout.readline().split()
        assert process.stdout.readline() == "over\n"
        return int(number), how

    yield step
    process.communicate(timeout=60)


def form_of(engine: Engine) -> Form:
    """The version, every column and index of every table, what the database itself does, and the people that it has."""
    with engine.connect() as connection:
        looked = inspect(connection)
        names = sorted(set(looked.get_table_names()) - {"alembic_version", "sqlite_sequence"})
        columns = [(name, [(str(one["name"]), str(one["type"])) for one in looked.get_columns(name)]) for name in names]
        people = connection.execute(text("SELECT login, name FROM person")).all() if "person" in names else []
        return (version_of(connection), columns, _by_itself(connection), [tuple(one) for one in people])


def _by_itself(connection: Connection) -> list[str]:
    """Indexes, triggers and, on PostgreSQL, functions by name."""
    asked = (
        "SELECT name FROM sqlite_master WHERE type IN ('index', 'trigger')"
        if connection.dialect.name == "sqlite"
        else "SELECT indexname FROM pg_indexes WHERE schemaname = 'public'"
        " UNION ALL SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        " UNION ALL SELECT p.proname FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace"
        " WHERE n.nspname = 'public'"
    )
    return sorted(name for name in connection.exec_driver_sql(asked).scalars() if "alembic_version" not in name)


def somewhere(number: int) -> list[int]:
    """Some of the statements 1 to ``number``, the first and the last among them."""
    return sorted({1 + (number - 1) * place // (MOST - 1) for place in range(MOST)})


def add_somebody(engine: Engine, version: str) -> None:
    """From the first form on, somebody is there whom each step must keep."""
    if version != versions()[0]:
        return
    insert = "INSERT INTO person (login, name, roles, is_active, created_at) VALUES ('ada', 'Ada', '[]', {}, '{}')"
    yes, at = ("1", "2031-03-04 10:00:00.000000") if engine.dialect.name == "sqlite" else ("true", "2031-03-04 10:00Z")
    with writer_of(engine).begin() as connection:
        if not connection.execute(text("SELECT 1 FROM person")).first():
            connection.execute(text(insert.format(yes, at)))


def test_a_step_that_is_killed_leaves_the_form_before_it(
    engine: Engine, killed: Callable[[str, int], tuple[int, str]]
) -> None:
    """On the way back the forms are those of the way up."""
    forms = {EMPTY: form_of(engine)}
    assert forms[EMPTY] == (EMPTY, [], [], [])
    for old, new in STEPS:
        before = form_of(engine)
        number, how = killed(new, 0)
        assert (number > 1, how, form_of(engine)) == (True, "killed", before)
        for at in somewhere(number):
            assert killed(new, at) == (at, "killed"), (old, new)
            assert form_of(engine) == before, (old, new, at)
        assert killed(new, -1)[1] == "done"
        add_somebody(engine, new)
        after = form_of(engine)
        assert (before[0], after[0]) == (old, new)
        assert forms.setdefault(new, after) == after


def test_a_step_that_fails_leaves_the_form_before_it_and_goes_on_afterwards(engine: Engine) -> None:
    for _, new in STEPS:
        before = form_of(engine)
        last = 0
        for part in (1, 0.5):  # behind the last statement, then halfway
            passed, stop = 0, last * part if last else None

            def fails(*_: object, stop: float | None = stop) -> None:
                nonlocal passed
                passed += 1
                if stop is not None and passed >= stop:
                    raise InterruptedError

            def ends(_: object) -> None:
                raise InterruptedError

            event.listen(engine, "after_cursor_execute", fails)
            event.listen(engine, "commit", ends)
            with pytest.raises(InterruptedError):
                bring_to(engine, new)
            event.remove(engine, "after_cursor_execute", fails)
            event.remove(engine, "commit", ends)
            last = last or passed
            assert form_of(engine) == before
        bring_to(engine, new)
        add_somebody(engine, new)
        assert form_of(engine)[0] == new


@pytest.mark.parametrize("start", versions()[:-1])
def test_a_library_opens_in_the_newest_form_after_it_was_killed_on_the_way(
    engine: Engine, empty_where: str, media: Path, killed: Callable[[str, int], tuple[int, str]], start: str
) -> None:
    bring_to(engine, versions()[0])
    add_somebody(engine, versions()[0])
    bring_to(engine, start)
    number, _ = killed(versions()[-1], 0)
    assert killed(versions()[-1], number // 2)[1] == "killed"
    with open_library(empty_where, media=media) as library, library.reading() as session:
        assert person(session, 1).login == "ada"
        assert form_of(library.engine)[0] == versions()[-1]
