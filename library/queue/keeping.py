"""Keeping as tasks: the check of everything, backups, bags that go out as archives, and archives that came.

What goes out lies in one folder of the server, under names that the library gives. An archive gets its name there in
the piece of work that tells the journal of it; before that nobody can fetch it.
"""

from collections.abc import Callable, Mapping
from hashlib import file_digest
from pathlib import Path
from secrets import token_hex
from shutil import rmtree
from typing import Any

from pydantic import Field

from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import Head
from vouchbook.library.keeping.archive import pack, unpack
from vouchbook.library.keeping.arrivals import Arrived, bring_visit
from vouchbook.library.keeping.backup import back_up
from vouchbook.library.keeping.bag_backup import sweep_backups
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.keeping.unbag import verified
from vouchbook.library.keeping.visit_bag import tell_export, write_visit_bag
from vouchbook.library.keeping.whole import export_library, is_whole
from vouchbook.library.open import Library
from vouchbook.library.queue.kind import Told, Write
from vouchbook.library.store.disk import sweep
from vouchbook.library.uploads.uploads import UNPACKED, forget, path_of
from vouchbook.models.errors import ConflictError, DocumentError, NotFoundError, StoreError
from vouchbook.models.record import Record

CHECK, BACKUP, EXPORT, IMPORT = "check", "backup", "export", "import"
_MAKING = ".making"


class Checking(Record):
    """What to hold the journal against: heads that were kept elsewhere."""

    heads: tuple[Head, ...] = ()


class Leaving(Record):
    """What is to go out under which name; the whole library, or the visit of that key."""

    name: str = Field(pattern=r"^[a-z]+-[0-9a-f]{16}\.zip$")
    visit: str | None = None


class Arriving(Record):
    """An upload that holds the archive of a bag, and its hash as the sender has it."""

    key: str
    name: str
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


def check_all(library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
    """Looks through everything that the library keeps."""
    told(0.0, "reading everything")
    report = check(library, Checking.model_validate(arguments).heads)

    def write(work: Work) -> Mapping[str, Any]:
        work.needs(*KEEPERS)
        return {"is_sound": report.is_sound, **report.model_dump(mode="json")}

    return write


def backup_to(exports: Path | None, library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
    """Brings the backup in the folder up to date, or makes the first one."""
    del arguments
    folder = _made(exports) / BACKUP
    told(0.0, "copying")
    done = back_up(library, folder)

    def write(work: Work) -> Mapping[str, Any]:
        work.needs("administrator")
        work.journal("backed up", "library", done.head.own_hash, {"seq": done.head.seq})
        return {"name": folder.name, "head": str(done.head), "copied": done.copied, "were_there": done.were_there}

    return write


def export_to(exports: Path | None, library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
    """Writes a bag of the library, or of one visit, as an archive.

    Raises:
        StoreError: this server has no folder for it, the disk is full, or a medium is missing or damaged.
        NotFoundError: no such visit.
    """
    wanted = Leaving.model_validate(arguments)
    folder, stem = _made(exports), wanted.name.removesuffix(".zip")
    sweep_exports(folder)
    making = _made(folder / _MAKING / f"{stem}-{token_hex(8)}")  # its own: who lost the task may still be at it
    bag, beside = making / stem, making / wanted.name
    try:
        told(0.0, "copying")
        if wanted.visit is None:
            tell = _tell_whole(export_library(library, bag))
        else:
            write_visit_bag(library, wanted.visit, bag)
            tell = _tell_visit(wanted.visit)
        told(0.5, "packing")
        archive = pack(bag, beside)
        rmtree(bag, ignore_errors=True)
    except BaseException:
        rmtree(making, ignore_errors=True)
        raise

    def write(work: Work) -> Mapping[str, Any]:
        try:
            tell(work)
            beside.replace(folder / wanted.name)
        except OSError as error:
            raise StoreError(wanted.name, f"cannot be named ({error.strerror})", "Do it again") from error
        finally:
            rmtree(making, ignore_errors=True)
        return archive.model_dump(mode="json") | {"visit": wanted.visit}

    return write


def sweep_exports(folder: Path) -> int:
    """Deletes what exports and backups that were killed left half made in ``folder``; returns how many there were."""
    return sweep((folder / _MAKING).glob("*")) + sweep_backups(folder / BACKUP)


def take_in(library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
    """Unpacks and verifies an archive that was uploaded, and takes the visit in that it holds.

    Raises:
        NotFoundError: the upload has expired.
        DocumentError: it is another file than was sent, or nothing that may be taken in.
        ConflictError: it holds a whole library, or what is here stands against it.
    """
    wanted = Arriving.model_validate(arguments)
    folder = path_of(library, wanted.key + UNPACKED)
    rmtree(folder, ignore_errors=True)
    try:
        take = _looked_through(library, wanted, folder, told)
    except DocumentError as error:  # it names a folder of this server
        raise DocumentError(wanted.name, error.problem, error.remedy) from error
    finally:
        rmtree(folder, ignore_errors=True)

    def write(work: Work) -> Mapping[str, Any]:
        arrived = take(work)
        forget(work, wanted.key)
        return arrived.model_dump(mode="json")

    return write


def _looked_through(library: Library, wanted: Arriving, folder: Path, told: Told) -> Callable[[Work], Arrived]:
    told(0.0, "unpacking")
    try:
        file = path_of(library, wanted.key).open("rb")
    except FileNotFoundError:
        raise NotFoundError(f"upload {wanted.key}", "it has expired", "Send it again") from None
    with file:
        if file_digest(file, "sha256").hexdigest() != wanted.sha256:
            problem = "it is not the file that was sent: its SHA-256 is another"
            raise DocumentError(wanted.name, problem, "Send it again")
        folder.mkdir(mode=0o700)
        bag = unpack(file, wanted.name, folder)
    told(0.4, "verifying")
    found = verified(bag)
    if is_whole(found):
        raise ConflictError(
            wanted.name, "it holds a whole library, which comes into an empty one alone", "Use `vouchbook import`"
        )
    told(0.7, "taking in")
    return bring_visit(library, found)


def _tell_whole(end: Head) -> Callable[[Work], None]:
    def tell(work: Work) -> None:
        work.needs("administrator")
        work.journal("exported", "library", end.own_hash, {"seq": end.seq})

    return tell


def _tell_visit(key: str) -> Callable[[Work], None]:
    return lambda work: tell_export(work, key)


def _made(exports: Path | None) -> Path:
    if exports is None:
        raise StoreError(
            "exports", "the server that does this has no folder for them", "Start it with --exports FOLDER"
        )
    try:
        exports.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(str(exports), f"cannot be made ({error.strerror})", "Give another folder") from error
    return exports
