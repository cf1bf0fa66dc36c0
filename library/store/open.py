"""From where the library is to a database engine: SQLite in a file, or PostgreSQL by its URL."""

from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError

from vouchbook.models.errors import SettingError

DATABASE = "library.db"
BUSY_S = 30.0
"""How long one waits for another who is writing, before it says that the library is busy."""

_WRITES, _WAITS_S = "vouchbook_writes", "vouchbook_waits_s"
_LOCK = 0x766F756368  # "vouch": one number for all who write to this database of PostgreSQL
_SETTINGS = (
    "journal_mode=WAL",  # people read while somebody writes
    "synchronous=FULL",  # what was acknowledged survives a power cut
    "foreign_keys=ON",
    "cache_size=-65536",  # KiB; search over millions of sentences reads many pages
    "mmap_size=2000000000",
)


def url_of(where: str | Path) -> URL:
    """The database at ``where``: a folder that holds ``library.db``, or a URL of SQLite or PostgreSQL.

    Raises:
        SettingError: a URL that cannot be read, of another database, or of no file.
    """
    text = str(where)
    if "://" not in text:
        return URL.create("sqlite", database=str(Path(text).expanduser().absolute() / DATABASE))
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        raise SettingError(
            "library: this URL cannot be read. Give a folder, or postgresql://USER@HOST/DATABASE."
        ) from None  # the cause would show the password
    kind = url.drivername.split("+")[0]
    if kind in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    if kind == "sqlite" and url.database and url.database != ":memory:":
        return URL.create("sqlite", database=str(Path(url.database).absolute()))
    raise SettingError(f"library: {kind} holds no library. Give a folder, or postgresql://USER@HOST/DATABASE.")


def engine_of(url: URL, *, busy_s: float = BUSY_S) -> Engine:
    """An engine whose transactions read; :func:`writer_of` gives the one whose transactions write.

    A transaction of SQLite that writes begins with the lock (``BEGIN IMMEDIATE``): it waits at its beginning or not at
    all. One that reads sees one state from its first statement to its end and refuses to write.
    """
    if url.get_backend_name() == "postgresql":
        options = f"-c timezone=UTC -c lock_timeout={round(busy_s * 1000)}"
        return create_engine(url, connect_args={"options": options}, pool_pre_ping=True)
    engine = create_engine(url, connect_args={"timeout": busy_s}, execution_options={_WAITS_S: busy_s})
    event.listen(engine, "connect", _settle)
    event.listen(engine, "begin", _begin)
    return engine


def writer_of(engine: Engine) -> Engine:
    """The same engine, for transactions that write."""
    return engine.execution_options(**{_WRITES: True})


def waiting(waits_s: float) -> dict[str, float]:
    """The option of a transaction that waits only so long for others."""
    return {_WAITS_S: waits_s}


def take_turn(connection: Connection) -> None:
    """Waits until nobody else writes; the turn ends with the transaction.

    On SQLite the transaction itself began with it. On PostgreSQL one lock stands for it, so that no two who write can
    wait for each other and the journal has one order.
    """
    if connection.dialect.name == "postgresql":
        waits_s = connection.get_execution_options().get(_WAITS_S)
        if waits_s is not None:
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {round(waits_s * 1000)}")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")


def _settle(connection: Any, _record: object) -> None:  # noqa: ANN401  a connection of the driver
    connection.isolation_level = None  # SQLAlchemy says when a transaction begins, not the driver
    for setting in _SETTINGS:
        connection.execute(f"PRAGMA {setting}")


def _begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    writes, waits_s = options.get(_WRITES, False), options.get(_WAITS_S, BUSY_S)
    connection.exec_driver_sql(f"PRAGMA busy_timeout={round(waits_s * 1000)}")
    connection.exec_driver_sql(f"PRAGMA query_only={'OFF' if writes else 'ON'}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
