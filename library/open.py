"""The library itself: where it is, and the two ways to it: to read, and to work."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import URL, event
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.orm import Session

from vouchbook.library.actor import Clock, Work, now
from vouchbook.library.store.media import Media
from vouchbook.library.store.migrate import bring_to
from vouchbook.library.store.open import BUSY_S, engine_of, take_turn, url_of, waiting, writer_of
from vouchbook.library.store.troubles import shown, told
from vouchbook.models.errors import SettingError, StoreError
from vouchbook.models.people import Actor

MEDIA = "media"


class Library:
    """An open library. Any number of threads and processes may have it open at once."""

    def __init__(self, url: URL, media: Path, clock: Clock, busy_s: float) -> None:
        self.url = url
        self.media = Media(media)
        self.engine = engine_of(url, busy_s=busy_s)
        self.clock = clock
        self._writer = writer_of(self.engine)
        self._is_closed = False
        event.listen(self.engine, "checkin", self._let_go)

    @property
    def where(self) -> str:
        """Where the library is, without a password."""
        return shown(self.url)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees the library as it is at one moment; what is changed in it does not come about."""
        with told(self.url), Session(self.engine) as session:
            options = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
            session.connection(execution_options=options if self.url.get_backend_name() == "postgresql" else {})
            yield session

    @contextmanager
    def work(self, actor: Actor, *, waits_s: float | None = None) -> Iterator[Work]:
        """One piece of work by ``actor``: all of it comes about at the end, or nothing after an exception.

        ``waits_s`` is how long it waits for others who write, where that is not as long as always.

        Raises:
            NotAllowedError: the actor does not work here any more.
            StoreError: the library is busy, full or cannot be reached.
        """
        with told(self.url), Session(self._writer, expire_on_commit=False) as session:
            take_turn(session.connection(execution_options={} if waits_s is None else waiting(waits_s)))
            work = Work(session, actor, self.clock(), self.media)
            yield work
            work.finish()
            session.commit()

    def close(self) -> None:
        """Lets go of all connections; of those in use by another thread when it gives them back."""
        self._is_closed = True
        self.engine.dispose()

    def _let_go(self, connection: DBAPIConnection | None, _record: object) -> None:
        if self._is_closed and connection is not None:
            connection.close()

    def __enter__(self) -> "Library":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def open_library(
    where: str | Path, *, media: Path | None = None, may_make: bool = True, clock: Clock = now, busy_s: float = BUSY_S
) -> Library:
    """The library at ``where``, brought to the form that this Vouchbook works with.

    ``where`` is a folder that holds ``library.db`` and ``media/``, or a URL; for PostgreSQL, ``media`` says where the
    media are. A library that is not there is made, unless ``may_make`` is False.

    Raises:
        SettingError: a URL that cannot be read, or no folder for the media.
        StoreError: there is none, it is of a newer Vouchbook, or it cannot be opened.
    """
    url = url_of(where)
    if url.get_backend_name() == "sqlite":
        database = Path(url.database or "")
        media = media or database.parent / MEDIA
        if not may_make and not database.is_file():
            raise StoreError(
                str(database.parent), "there is no library", "Check the folder, or add something to make one"
            )
        _make(database.parent)
    elif media is None:
        raise SettingError(f"library: {shown(url)} has no folder for the media. Give one.")
    _make(media)
    library = Library(url, media, clock, busy_s)
    try:
        with told(url):
            bring_to(library.engine)
    except BaseException:
        library.close()
        raise
    return library


def _make(folder: Path) -> None:
    """Makes a folder that its owner alone may look into: recordings show people."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            str(folder), f"cannot be made ({error.strerror})", "Give a folder that may be written"
        ) from error
