"""Brings a database to the form that this Vouchbook works with: all of the way, or not at all."""

from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from vouchbook.library.store.open import take_turn, writer_of
from vouchbook.library.store.troubles import shown
from vouchbook.models.errors import StoreError

EMPTY = "base"
_FOLDER = Path(__file__).parent / "migrations"


def versions() -> tuple[str, ...]:
    """All versions from the first to the newest: the numbers with which the files of the steps begin."""
    return tuple(sorted(path.name[:4] for path in (_FOLDER / "versions").glob("[0-9]*.py")))


def version_of(connection: Connection) -> str:
    """The version of this database, ``base`` for an empty one."""
    if not inspect(connection).has_table("alembic_version"):
        return EMPTY
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar() or EMPTY


def bring_to(engine: Engine, version: str = "") -> None:
    """Brings the database up, or down, to ``version``; to the newest if none is given.

    One transaction: an interruption leaves the old state. Two who do it at once take turns, and the second finds it
    done.

    Raises:
        StoreError: the database is of a newer Vouchbook.
    """
    wanted = version or versions()[-1]
    with engine.connect() as connection:
        if _checked(engine, connection) == wanted:
            return
    with writer_of(engine).connect() as connection:
        # Steps rebuild tables of SQLite, during which rows point to nothing; it is checked before the end instead. The
        # switch works outside of a transaction only.
        is_sqlite = connection.dialect.name == "sqlite"
        driver = connection.connection.driver_connection
        if is_sqlite and driver is not None:
            driver.execute("PRAGMA foreign_keys=OFF")
        try:
            with connection.begin():
                take_turn(connection)
                _step(connection, _checked(engine, connection), wanted)
                if is_sqlite and connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                    raise RuntimeError(f"version {wanted} leaves rows that point to nothing")
        finally:
            if is_sqlite and driver is not None:
                driver.execute("PRAGMA foreign_keys=ON")


def _checked(engine: Engine, connection: Connection) -> str:
    found = version_of(connection)
    if found not in (EMPTY, *versions()):
        raise StoreError(
            shown(engine.url),
            f"its form {found} is newer than {versions()[-1]}, the newest known here",
            "Update Vouchbook",
        )
    return found


def _step(connection: Connection, found: str, wanted: str) -> None:
    from alembic import command  # a third of the time to open a library, and hardly ever needed
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    order = (EMPTY, *versions())
    if order.index(found) < order.index(wanted):
        command.upgrade(config, wanted)
    elif order.index(found) > order.index(wanted):
        command.downgrade(config, wanted)
