import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from procrastinate.schema import SchemaManager
from sqlalchemy import Engine, inspect, select, text
from sqlalchemy.orm import Session

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.store.base import Table
from vouchbook.library.store.migrate import EMPTY, bring_to, version_of, versions
from vouchbook.library.store.open import engine_of, url_of, writer_of
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.store.tables import DraftRow, EditionRow, MediumRow, SubjectRow, VerificationRow, VisitRow
from vouchbook.models.errors import StoreError
from vouchbook.models.people import THE_LIBRARY

NOT_OURS_TO_COMPARE = ("sentence_", "search_", "procrastinate_")
KILLED = """
import sys, time
from sqlalchemy import event
from vouchbook.library.store.migrate import bring_to
from vouchbook.library.store.open import engine_of, url_of
engine = engine_of(url_of(sys.argv[1]))
@event.listens_for(engine, "after_cursor_execute")
def _stay(connection, cursor, statement, *_):
    if statement.strip().startswith(sys.argv[2]):
        print("half done", flush=True)
        time.sleep(600)
bring_to(engine)
"""
OPENS = """
import sys
from pathlib import Path
from vouchbook.library.open import open_library
print("ready", flush=True)
sys.stdin.readline()
with open_library(sys.argv[1], media=Path(sys.argv[2])) as library, library.reading() as session:
    print(session.connection().exec_driver_sql("SELECT version_num FROM alembic_version").scalar())
"""


@pytest.fixture
def engine(empty_where: str) -> Iterator[Engine]:
    url = url_of(empty_where)
    if url.get_backend_name() == "sqlite":
        Path(url.database or "").parent.mkdir()
    made = engine_of(url, busy_s=20)
    yield made
    made.dispose()


def version(engine: Engine) -> str:
    with engine.connect() as connection:
        return version_of(connection)


@pytest.mark.filterwarnings("ignore:(autogenerate s|S)kipp.*uq_subject", "ignore:autogenerate skipping")
def test_the_steps_make_the_tables_that_the_code_knows(engine: Engine) -> None:
    """All but what search keeps beside the sentences, what another package keeps, and the index over expressions, which
    no database tells alike."""
    bring_to(engine)
    with engine.connect() as connection:
        context = MigrationContext.configure(
            connection,
            opts={
                "compare_type": True,
                "include_name": lambda name, kind, _: (
                    (kind != "table" or not (name or "").startswith(NOT_OURS_TO_COMPARE)) and name != "uq_subject"
                ),
                "include_object": lambda _object, name, *_: name != "uq_subject",
            },
        )
        assert compare_metadata(context, Table.metadata) == []


def test_two_subjects_of_unknown_years_are_one(engine: Engine) -> None:
    bring_to(engine)
    insert = text("INSERT INTO subject (kind, maker, model) VALUES ('loader', 'Halden', 'L4')")
    with writer_of(engine).connect() as connection:
        connection.execute(insert)
        with pytest.raises(Exception, match=r"(?i)unique"):
            connection.execute(insert)


@pytest.mark.parametrize("start", versions())
def test_data_stays_on_the_way_up_and_on_the_way_back(engine: Engine, start: str) -> None:
    bring_to(engine, start)
    with Session(writer_of(engine)) as session:
        session.add(PersonRow(login="ada", name="Ada", roles=["reviewer"], created_at=datetime(2031, 3, 4, tzinfo=UTC)))
        session.commit()
    bring_to(engine)
    assert version(engine) == versions()[-1]
    bring_to(engine, start)
    assert version(engine) == start
    with Session(engine) as session:
        (row,) = session.scalars(select(PersonRow))
        assert (row.login, row.roles, row.created_at) == ("ada", ["reviewer"], datetime(2031, 3, 4, tzinfo=UTC))
        names = session.connection().exec_driver_sql(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
            if engine.dialect.name == "sqlite"
            else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        )
        assert {"journal_stays", "edition_stays"} <= set(names.scalars())


def test_what_is_hidden_is_not_shown_by_going_back(engine: Engine) -> None:
    bring_to(engine)
    hidden = {"hidden_at": datetime(2031, 3, 4, tzinfo=UTC), "hidden_reason": "consent withdrawn"}
    with Session(writer_of(engine)) as session:
        for number, fields in enumerate((hidden, {})):
            medium = {"sha256": str(number) * 64, "size_bytes": 1, "media_type": "video/mp4"}
            session.add(MediumRow(**medium, added_at=datetime(2031, 3, 4, tzinfo=UTC), **fields))
        session.commit()
    with pytest.raises(RuntimeError, match="media are hidden"):
        bring_to(engine, "0002")
    assert version(engine) == versions()[-1]
    with writer_of(engine).begin() as connection:
        connection.execute(text("UPDATE medium SET hidden_at = NULL"))
    bring_to(engine, "0002")
    bring_to(engine)
    with Session(engine) as session:
        assert [(row.sha256[0], row.hidden_at) for row in session.scalars(select(MediumRow))] == [
            ("0", None), ("1", None),
        ]  # fmt: skip


def test_that_editions_were_verified_again_is_not_forgotten_by_going_back(engine: Engine) -> None:
    bring_to(engine)
    at = datetime(2031, 3, 4, tzinfo=UTC)
    with Session(writer_of(engine)) as session:
        session.add(PersonRow(login="ada", name="Ada", roles=["reviewer"], created_at=at))
        session.add(SubjectRow(kind="loader", maker="Halden", model="L4"))
        session.flush()
        session.add(VisitRow(key="k", subject_id=1, place="", held_on=at.date(), created_at=at))
        session.flush()
        session.add(DraftRow(visit_id=1, number=1, document={}, document_sha256="d", added_at=at, state="published"))
        session.flush()
        of = {"subject_id": 1, "visit_id": 1, "draft_id": 1, "number": 1, "published_at": at, "published_by": 1}
        session.add(EditionRow(**of, content={}, content_sha256="e", reverify_on=at.date()))
        session.flush()
        session.add(VerificationRow(edition_id=1, person_id=1, at=at, how="looked at it", reverify_on=at.date()))
        session.commit()
    with pytest.raises(RuntimeError, match="were verified again"):
        bring_to(engine, "0005")
    assert version(engine) == versions()[-1]
    with Session(writer_of(engine)) as session:
        (row,) = session.scalars(select(VerificationRow))
        assert (row.how, row.at, row.is_one_person, row.undone_at) == ("looked at it", at, False, None)
        session.delete(row)
        session.commit()
    for step in ("0005", versions()[-1]):
        bring_to(engine, step)
    with Session(engine) as session:
        assert session.scalars(select(VerificationRow)).all() == []
        assert [row.reverify_on for row in session.scalars(select(EditionRow))] == [at.date()]


def test_all_the_way_down_leaves_nothing(engine: Engine) -> None:
    bring_to(engine)
    bring_to(engine, EMPTY)
    assert version(engine) == EMPTY
    left = set(inspect(engine).get_table_names()) - {"alembic_version", "sqlite_sequence"}
    assert left == set()
    bring_to(engine)
    assert version(engine) == versions()[-1]


def test_rows_must_point_to_something_after_the_steps_as_before(engine: Engine) -> None:
    bring_to(engine)
    insert = text("INSERT INTO participant (visit_id, name, part) VALUES (99, 'Dov', 'technician')")
    with writer_of(engine).connect() as connection, pytest.raises(Exception, match=r"(?i)foreign key"):
        connection.execute(insert)


def test_a_library_of_a_newer_vouchbook_is_left_alone(library: Library, where: str, media: Path) -> None:
    with writer_of(library.engine).begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreError, match=r"9999 is newer than \d{4}.*Update Vouchbook"):
        open_library(where, media=media)
    with library.engine.connect() as connection:
        assert version_of(connection) == "9999"


@pytest.mark.parametrize("statement", ["CREATE TABLE edition", "CREATE TABLE search_term", "UPDATE alembic_version"])
def test_one_that_is_killed_in_the_middle_leaves_the_old_state(
    engine: Engine, empty_where: str, statement: str
) -> None:
    """From an empty database: the last two come when the first form is already made, in the same go."""
    command = [sys.executable, "-c", KILLED, empty_where, statement]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "half done\n"
    child.kill()
    child.wait(30)
    child.stdout.close()
    assert version(engine) == EMPTY
    assert set(inspect(engine).get_table_names()) - {"alembic_version"} == set()
    bring_to(engine)
    assert version(engine) == versions()[-1]


def test_many_who_open_a_new_library_at_once_find_it_made_once(empty_where: str, media: Path) -> None:
    children = [
        subprocess.Popen(
            [sys.executable, "-c", OPENS, empty_where, str(media)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(3)
    ]  # fmt: skip
    for child in children:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
    ends = []
    for child in children:
        assert child.stdin is not None
        child.stdin.write("go\n")
        child.stdin.flush()
    for child in children:
        out, err = child.communicate(timeout=60)
        ends.append((child.returncode, out.strip(), err))
    assert ends == [(0, versions()[-1], "")] * 3


def test_work_goes_on_in_the_newest_form(library: Library) -> None:
    with library.work(THE_LIBRARY) as work:
        assert add_person(work, "ada", "Ada", []).roles == {"administrator"}


def test_the_tables_of_procrastinate_are_those_that_our_step_made() -> None:
    """A newer one brings steps of its own to its tables: then a step of ours must make them too."""
    steps = sorted(path.name for path in Path(SchemaManager.get_migrations_path()).glob("*.sql"))
    assert steps[-1] == "03.04.00_50_post_add_retry_failed_job_procedure.sql"
