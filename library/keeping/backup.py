"""A copy of the library while people work, and a library from a copy.

A backup of SQLite is a library's folder itself: its database as it was at one moment, and the media. A backup of
PostgreSQL is a bag. Made again into the same folder, either takes the place of the one before as the last thing it
does, so that one whole backup is there at any moment, and what was removed from the library goes from it.
"""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import delete

from vouchbook.library.audit.chain import START, Head
from vouchbook.library.audit.journal import head
from vouchbook.library.keeping.bag import DECLARED
from vouchbook.library.keeping.bag_backup import back_up_as_bag, not_its_own, whole_at
from vouchbook.library.keeping.check import Report, check
from vouchbook.library.keeping.unbag import verified
from vouchbook.library.keeping.whole import import_library, is_whole
from vouchbook.library.open import MEDIA, Library, open_library
from vouchbook.library.store.disk import flush
from vouchbook.library.store.media import Media
from vouchbook.library.store.open import DATABASE, url_of
from vouchbook.library.store.people_tables import SignInRow, SignInTryRow
from vouchbook.library.store.tables import MediumRow
from vouchbook.library.store.troubles import shown
from vouchbook.models.errors import ConflictError, DocumentError, NotFoundError, StoreError
from vouchbook.models.people import THE_LIBRARY
from vouchbook.models.record import Record

_NEW = "library.db.new"
_MOST_TRIES = 5


class BackedUp(Record):
    """The journal's head at the moment of the backup, and how many media were copied and how many were there."""

    head: Head
    copied: int
    were_there: int


def back_up(library: Library, folder: Path, *, links: bool = False) -> BackedUp:
    """Makes a backup at ``folder``, or brings the one that is there up to date; each medium is read and compared.

    Media that were removed from the library go from the backup as well. On PostgreSQL it is written anew, beside the
    one that is there, and then takes its place: there must be room for both. ``links`` gives media another name instead
    of a copy: quick, and no protection against a disk that fails.

    Raises:
        StoreError: a medium is missing or damaged, the disk is full, or something else is at ``folder``.
        ConflictError: the backup at ``folder`` is of another library, or a newer one.
    """
    if library.engine.dialect.name != "sqlite":
        end = back_up_as_bag(library, folder, links=links)
        copied = sum(path.is_file() for path in (folder / "data" / "media").rglob("*"))
        return BackedUp(head=end, copied=copied, were_there=0)
    target, database = folder / _NEW, Path(library.url.database or "")
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if (folder / DATABASE).exists() and (folder / DATABASE).samefile(database):
            raise ConflictError(str(folder), "that is the library itself", "Give another folder")
        if (folder / DECLARED).exists():
            raise StoreError(str(folder), "there is a bag already", "Give a folder of its own")
        Media(folder / MEDIA).sweep()
        for _ in range(_MOST_TRIES):
            _snapshot(database, target)
            kept, removed, end = _told_by(target)
            _goes_on(folder, target)
            done = _copy(library, Media(folder / MEDIA), kept, links=links)
            if done is not None:
                break
        else:
            raise StoreError(str(folder), "media go faster than they can be copied", "Do it again when less is done")
        _put(target, folder / DATABASE)
        for sha256 in removed:
            Media(folder / MEDIA).remove(sha256)
    except (OSError, sqlite3.OperationalError) as error:
        problem = f"cannot be written ({getattr(error, 'strerror', None) or error})"
        raise StoreError(str(folder), problem, "Make room, or give a folder that may be written") from error
    finally:
        target.unlink(missing_ok=True)
    return BackedUp(head=end, copied=done[0], were_there=done[1])


def restore(backup: Path, where: str | Path, *, media: Path | None = None) -> Report:
    """Makes a library at ``where``, at which there must be none, from a backup or a bag; returns what a check found.

    Everybody has to sign in anew. The journal goes on, and says that and from where it was restored. Media that were
    removed, and tokens that were revoked, after the backup are there again: look at what was removed since.

    Raises:
        StoreError: something is at ``where``, the backup is no backup, or one of its media is missing or damaged.
        DocumentError: a bag that is damaged or does not fit together.
        ConflictError: the library at ``where`` is not empty.
    """
    backup = whole_at(backup)
    if (backup / DECLARED).exists():
        bag = verified(backup)
        if not is_whole(bag):
            raise DocumentError(str(backup), "it holds one visit, not a library", "Import it into a library")
        with open_library(where, media=media) as library:
            if not import_library(library, bag).is_new:
                raise StoreError(library.where, "there is a library already", "Give an empty one")
            return _begin_again(library, "a bag")
    if not (backup / DATABASE).is_file():
        raise StoreError(str(backup), "there is no backup", "Check the folder")
    url = url_of(where)
    if url.get_backend_name() != "sqlite":
        raise StoreError(
            shown(url), "a backup of a folder is restored into a folder", "Restore it, then export and import"
        )
    database = Path(url.database or "")
    _restore_folder(backup, database, media or database.parent / MEDIA)
    with open_library(where, media=media, may_make=False) as library:
        return _begin_again(library, "a folder")


def _restore_folder(backup: Path, database: Path, media: Path) -> None:
    if database.exists():
        raise StoreError(str(database.parent), "there is a library already", "Give a folder that is not there yet")
    target = database.with_name(_NEW)
    try:
        database.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        _snapshot(backup / DATABASE, target)
        kept, _, _ = _told_by(target)
        for sha256 in kept:
            _one(Media(backup / MEDIA), Media(media), sha256)
        _put(target, database)
    except OSError as error:
        raise StoreError(str(database.parent), f"cannot be written ({error.strerror})", "Make room") from error
    except sqlite3.DatabaseError as error:
        raise StoreError(str(backup), f"its database is damaged ({error})", "Use another backup") from error
    finally:
        target.unlink(missing_ok=True)


def _begin_again(library: Library, kind: str) -> Report:
    with library.work(THE_LIBRARY) as work:
        end = head(work.session)
        work.session.execute(delete(SignInRow))
        work.session.execute(delete(SignInTryRow))
        work.journal("restored", "library", end.own_hash, {"seq": end.seq, "from": kind})
    return check(library, [end])


def _snapshot(source: Path, target: Path) -> None:
    """The database as it is at one moment, in one file; who works is not kept waiting and keeps nobody waiting."""
    target.unlink(missing_ok=True)
    with (
        closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)) as live,
        closing(sqlite3.connect(target)) as copy,
    ):
        live.backup(copy)  # in one go: step by step it would begin anew whenever somebody writes
        copy.execute("PRAGMA journal_mode=DELETE")
    target.chmod(0o600)
    flush(target)


def _told_by(database: Path) -> tuple[list[str], list[str], Head]:
    """The media that a copied database has, those that were removed, and its head. Nothing of it changes."""
    with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)) as copy:
        media = copy.execute("SELECT sha256, removed_at IS NULL FROM medium ORDER BY sha256").fetchall()
        last = copy.execute("SELECT seq, own_hash FROM journal ORDER BY seq DESC LIMIT 1").fetchone() or (0, START)
    kept, removed = ([sha256 for sha256, is_kept in media if is_kept == wanted] for wanted in (1, 0))
    return kept, removed, Head(seq=last[0], own_hash=last[1])


def _goes_on(folder: Path, target: Path) -> None:
    """Refuses to put a copy in the place of a backup that it does not go on from."""
    if not (folder / DATABASE).exists():
        return
    _, _, before = _told_by(folder / DATABASE)
    with closing(sqlite3.connect(f"{target.absolute().as_uri()}?mode=ro", uri=True)) as copy:
        found = copy.execute("SELECT own_hash FROM journal WHERE seq = ?", (before.seq,)).fetchone()
    if before.seq and (found is None or found[0] != before.own_hash):
        raise not_its_own(folder)


def _copy(library: Library, target: Media, kept: list[str], *, links: bool) -> tuple[int, int] | None:
    """How many media were copied, and how many were there; None when one was removed from the library meanwhile."""
    copied = 0
    for sha256 in kept:
        if target.path(sha256).exists() and target.verify(sha256) is None:
            continue
        if not library.media.path(sha256).exists() and _was_removed(library, sha256):
            return None
        _one(library.media, target, sha256, links=links)
        copied += 1
    return copied, len(kept) - copied


def _was_removed(library: Library, sha256: str) -> bool:
    with library.reading() as session:
        medium = session.get(MediumRow, sha256)
        return medium is not None and medium.removed_at is not None


def _one(source: Media, target: Media, sha256: str, *, links: bool = False) -> None:
    trouble = source.verify(sha256) if links else None
    if trouble is not None:
        raise StoreError(str(source.folder), trouble.sentence, "Look with library check")
    if links:
        path = target.path(sha256)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        os.link(source.path(sha256), path)
        return
    try:
        with source.open(sha256) as file:
            found = target.add(file).sha256
    except NotFoundError as error:
        raise StoreError(str(source.folder), error.problem, "Look with library check") from error
    if found != sha256:
        target.remove(found)
        raise StoreError(f"medium {sha256}", "its file holds other bytes", "Look with library check")


def _put(target: Path, database: Path) -> None:
    """Gives a finished copy its name, in place of an older one and of what that left open."""
    for rest in ("-wal", "-shm"):
        database.with_name(database.name + rest).unlink(missing_ok=True)
    target.replace(database)
    flush(database.parent)
