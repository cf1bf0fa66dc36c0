"""A backup of PostgreSQL: a bag, which takes the place of the one before when it is whole.

It is made beside, under a hidden name. For the moment between two renames the earlier one has a hidden name as well,
by which :func:`whole_at` finds it: a whole backup is there at any moment.
"""

import re
from pathlib import Path
from secrets import token_hex
from shutil import rmtree

from sqlalchemy import select

from vouchbook.library.audit.chain import Head
from vouchbook.library.keeping.whole import ABOUT, WholeLibrary, export_library
from vouchbook.library.open import Library
from vouchbook.library.store.disk import flush, sweep
from vouchbook.library.store.tables import JournalRow
from vouchbook.models.errors import ConflictError, StoreError


def back_up_as_bag(library: Library, folder: Path, *, links: bool) -> Head:
    """Writes everything into a bag at ``folder``, in place of an earlier backup of this library.

    Raises:
        StoreError: something else is at ``folder``, a medium is missing or damaged, or the disk is full.
        ConflictError: the backup at ``folder`` is of another library, or a newer one.
    """
    folder = folder.resolve()
    beside = folder.parent / f".{folder.name}.{token_hex(8)}"
    try:
        sweep_backups(folder)
        there = whole_at(folder)
        if there != folder:
            there.rename(folder)
        _goes_on(library, folder)
        end = export_library(library, beside, links=links)
        _goes_on(library, folder, end)
        _put(beside, folder)
    except OSError as error:
        problem = f"cannot be written ({error.strerror or error})"
        raise StoreError(str(folder), problem, "Make room, or give a folder that may be written") from error
    finally:
        rmtree(beside, ignore_errors=True)
    return end


def whole_at(folder: Path) -> Path:
    """Where the backup at ``folder`` is: under a hidden name beside it where the next one was about to come."""
    before = _before(folder.resolve())
    return before if before.exists() and not folder.exists() else folder


def sweep_backups(folder: Path) -> int:
    """Deletes what backups at ``folder`` that were killed left half made; returns how many there were."""
    ours = re.compile(rf"\.{re.escape(folder.name)}\.[0-9a-f]{{16}}(\.unfinished)?")
    return sweep(path for path in folder.parent.glob(".*") if ours.fullmatch(path.name))


def not_its_own(folder: Path) -> ConflictError:
    """What is told of a backup that a new one does not go on from."""
    return ConflictError(str(folder), "its backup is of another library, or newer", "Give a folder of its own")


def _goes_on(library: Library, folder: Path, end: Head | None = None) -> None:
    """Refuses to put a backup that ends at ``end`` in the place of one that it does not go on from."""
    if not folder.exists():
        return
    try:
        before = WholeLibrary.model_validate_json((folder / "data" / ABOUT).read_bytes()).head
    except (OSError, ValueError):
        raise StoreError(
            str(folder), "something is there already, and no backup as a bag", "Give a folder that is not there yet"
        ) from None
    with library.reading() as session:
        found = session.scalar(select(JournalRow.own_hash).where(JournalRow.seq == before.seq))
    if before.seq and (found != before.own_hash or (end is not None and before.seq > end.seq)):
        raise not_its_own(folder)


def _put(beside: Path, folder: Path) -> None:
    """Gives a finished bag its name, and deletes the one that had it."""
    before = _before(folder)
    if folder.exists():
        rmtree(before, ignore_errors=True)
        folder.rename(before)
    beside.rename(folder)
    flush(folder.parent)
    rmtree(before, ignore_errors=True)


def _before(folder: Path) -> Path:
    return folder.parent / f".{folder.name}.before"
