"""The tables that search reads, alone: for measuring and testing it without the rest of the library."""

import importlib.util
from pathlib import Path
from typing import Any

from alembic.migration import MigrationContext
from alembic.operations import Operations
from sqlalchemy import Connection, create_engine, event, text
from sqlalchemy.engine import Engine

_MIGRATIONS = Path(__file__).parents[1] / "library/store/migrations/versions"
_STEPS = ("0002_search", "0008_meaning")
_TABLES = """
CREATE TABLE subject (id {key}, kind TEXT, maker TEXT, model TEXT, years_from INTEGER, years_to INTEGER, energy TEXT);
CREATE TABLE visit (id {key}, subject_id INTEGER, place TEXT, held_on DATE);
CREATE TABLE person (id {key}, login TEXT);
CREATE TABLE item (id {key}, draft_id INTEGER, kind TEXT, phase TEXT, hazard TEXT, state TEXT, record {json});
CREATE TABLE edition (id {key}, subject_id INTEGER, draft_id INTEGER, number INTEGER, withdrawn_at TIMESTAMP);
CREATE TABLE sentence (id {key}, visit_id INTEGER, draft_id INTEGER, sha256 TEXT, item_id INTEGER, start_s FLOAT,
end_s FLOAT, voice TEXT, words TEXT);
CREATE TABLE saved_search (id {key}, person_id INTEGER, name TEXT, query {json}, created_at TIMESTAMP,
UNIQUE (person_id, name));
CREATE INDEX ix_visit_subject ON visit (subject_id);
CREATE INDEX ix_sentence_item ON sentence (item_id);
CREATE INDEX ix_edition_draft ON edition (draft_id);
CREATE UNIQUE INDEX uq_edition_number ON edition (subject_id, number);
"""


def sqlite_engine(path: Path) -> Engine:
    """An engine for a SQLite file as the library opens one: WAL, memory-mapped reading."""
    engine = create_engine(f"sqlite:///{path}")

    @event.listens_for(engine, "connect")
    def _settings(connection: object, _record: object) -> None:
        cursor = connection.cursor()  # type: ignore[attr-defined]
        for setting in ("journal_mode=WAL", "synchronous=NORMAL", "cache_size=-65536", "mmap_size=8000000000"):
            cursor.execute(f"PRAGMA {setting}")
        cursor.close()

    return engine


def make_tables(connection: Connection) -> None:
    """Makes the tables and the index of search in an empty database."""
    is_postgres = connection.dialect.name == "postgresql"
    words = {"key": "BIGSERIAL PRIMARY KEY" if is_postgres else "INTEGER PRIMARY KEY", "json": "JSON"}
    for statement in _TABLES.format(**words).split(";"):
        if statement.strip():
            connection.execute(text(statement))
    with Operations.context(MigrationContext.configure(connection)):
        for step in _STEPS:
            _migration(step).upgrade()


def drop_index(connection: Connection) -> None:
    """Undoes the migrations of search, nothing else."""
    with Operations.context(MigrationContext.configure(connection)):
        for step in reversed(_STEPS):
            _migration(step).downgrade()


def _migration(name: str) -> Any:  # noqa: ANN401  a file whose name is no module's
    spec = importlib.util.spec_from_file_location(name, _MIGRATIONS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    migration = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(migration)
    return migration
