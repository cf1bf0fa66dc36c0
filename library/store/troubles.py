"""What a database says when it cannot, in our words."""

from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from sqlalchemy import URL
from sqlalchemy.exc import DBAPIError

from vouchbook.models.errors import StoreError

_SQLITE = {
    "database is locked": ("busy: another process has been writing for too long", "Try again, or end that process"),
    "database table is locked": ("busy: another process is writing", "Try again"),
    "database or disk is full": ("the disk is full; nothing was changed", "Make room and do it again"),
    "disk i/o error": ("the disk could not be read or written", "Check the disk and its free space"),
    "readonly database": ("it may not be written", "Check whose the files are and what they allow"),
    "unable to open database file": ("it cannot be opened", "Check that the folder exists and may be written"),
    "disk image is malformed": ("the database is damaged", "Restore the last backup"),
    "file is not a database": ("that file is no database", "Give the folder of a library"),
}
_POSTGRES: dict[str, tuple[str, str]] = {
    "53100": ("the disk of the server is full; nothing was changed", "Make room and do it again"),
    "55P03": ("busy: somebody has been writing for too long", "Try again"),
    "57P01": ("the server was stopped", "Try again when it runs"),
    "3D000": ("the server has no such database", "Create the database, or check its name"),
    "28P01": ("the server refuses this user and password", "Check both"),
    "28000": ("the server refuses this user", "Check user and server"),
    "42501": ("this user may not do that on the server", "Give it the rights to the database"),
    "25006": ("the server takes no changes now", "Use the server that does"),
}


def shown(url: URL) -> str:
    """Where the library is, without a password."""
    return url.database or "" if url.get_backend_name() == "sqlite" else url.render_as_string(hide_password=True)


@contextmanager
def told(url: URL) -> Iterator[None]:
    """Turns what the database or the disk cannot do into a StoreError; defects of ours pass as they are."""
    try:
        yield
    except DBAPIError as error:
        known = _known(error)
        if known is None:
            raise
        raise StoreError(shown(url), *known) from error


def _known(error: DBAPIError) -> tuple[str, str] | None:
    cause = error.orig
    if isinstance(cause, psycopg.Error):
        if cause.sqlstate is None and isinstance(cause, psycopg.OperationalError):
            return "the server cannot be reached", "Check that it runs and that the URL is right"
        return _POSTGRES.get(cause.sqlstate or "")
    said = str(cause).lower()
    return next((words for sign, words in _SQLITE.items() if sign in said), None)
