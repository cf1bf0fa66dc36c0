"""Files that arrive in parts, over a line that breaks: begun, continued where it broke, and taken in when whole.

The parts lie in one file beside the media, under a key of ours. What counts as received is what the table says; bytes
behind that were cut off from an answer and are written again.
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from shutil import rmtree
from typing import IO

from pydantic import AwareDatetime, Field
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.open import Library
from vouchbook.library.store.media import Stored, plain_name
from vouchbook.library.store.people_tables import UploadRow
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import new_key
from vouchbook.models.errors import ConflictError, NotFoundError, SettingError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record
from vouchbook.models.visits import MediumRole

LONGEST_PART = 16 << 20
LARGEST = 64 << 30
"""Bytes of a file at most: more than a day of film as cameras write it. Our choice."""
MOST_AT_ONCE = 20
KEPT_FOR = timedelta(days=3)
_FOLDER = "uploads"
UNPACKED = ".unpacked"
"""The end of the name of a folder beside an upload, in which what it holds is looked at."""


class Upload(Record):
    """A file on its way. ``sha256`` is None until it is whole and was taken in."""

    key: str
    name: str
    size_bytes: int = Field(ge=0)
    received_bytes: int = Field(ge=0)
    sha256: str | None
    expires_at: AwareDatetime


def begin(library: Library, actor: Actor, name: str, size_bytes: int) -> Upload:
    """A new upload of a file of that many bytes.

    Raises:
        NotAllowedError: not by an officer or archivist.
        SettingError: no bytes, or more than a file may have.
        ConflictError: that person has too many under way.
    """
    if not 1 <= size_bytes <= LARGEST:
        raise SettingError(f"upload: a file has 1 to {LARGEST} bytes, not {size_bytes}. Give another.")
    with library.work(actor) as work:
        work.needs("officer", "archivist")
        mine = select(func.count()).select_from(UploadRow)
        mine = mine.where(UploadRow.person_id == work.person_id(), UploadRow.sha256.is_(None))
        if (work.session.scalar(mine.where(UploadRow.expires_at > work.at)) or 0) >= MOST_AT_ONCE:
            raise ConflictError("upload", f"{MOST_AT_ONCE} are under way already", "Finish or drop one of them")
        row = UploadRow(
            key=new_key(),
            person_id=work.person_id(),
            name=plain_name(name),
            size_bytes=size_bytes,
            received_bytes=0,
            created_at=work.at,
            expires_at=work.at + KEPT_FOR,
        )
        work.session.add(row)
        work.session.flush()
        return _upload(row)


def upload(session: Session, actor: Actor, key: str) -> Upload:
    """The upload with that key, of the person who asks.

    Raises:
        NotFoundError: that person has none, or it has expired.
    """
    return _upload(_own(session, actor, key))


def receive(library: Library, actor: Actor, key: str, offset: int, part: bytes) -> Upload:
    """Takes the next part, which begins at byte ``offset``. When this returns, it is on the disk for good.

    Raises:
        NotFoundError: no such upload.
        ConflictError: another part is expected, the file would be longer than was said, or it is whole and taken in.
        StoreError: the disk is full.
    """
    with _file(library, actor, key) as (known, file):
        if known.sha256 is not None:
            raise ConflictError(f"upload {key}", "the file is whole and taken in", "There is nothing to send")
        if offset != known.received_bytes:
            raise ConflictError(f"upload {key}", f"byte {known.received_bytes} is the next", "Go on from there")
        if offset + len(part) > known.size_bytes:
            raise ConflictError(f"upload {key}", f"the file has {known.size_bytes} bytes", "Begin anew with its size")
        with _on_disk(library):
            file.truncate(offset)
            file.seek(offset)
            file.write(part)
            file.flush()
            os.fsync(file.fileno())
        with library.work(actor) as work:
            row = _own(work.session, actor, key)
            row.received_bytes = offset + len(part)
            row.expires_at = work.at + KEPT_FOR
            return _upload(row)


def finish(
    library: Library, actor: Actor, key: str, wanted_sha256: str, visit_id: int, role: MediumRole
) -> tuple[Upload, Stored]:
    """Takes the whole file in, as part of a visit. Again gives the same.

    Raises:
        NotFoundError: no such upload or visit.
        ConflictError: parts are missing, or what arrived has another hash; it stays, for whoever gave a wrong one.
        NotAllowedError, ConflictError: as for :func:`~vouchbook.library.visits.media.attach`.
    """
    with _file(library, actor, key) as (known, file):
        if known.sha256 is not None and known.sha256 != wanted_sha256:
            raise ConflictError(f"upload {key}", "it was another file", "Begin anew with this one")
        if known.sha256 is None:
            stored = _whole(library, known, file, wanted_sha256)
        else:
            stored = Stored(sha256=known.sha256, size_bytes=known.size_bytes)
        with library.work(actor) as work:
            attach(work, visit_id, stored, role, known.name)
            row = _own(work.session, actor, key)
            row.sha256 = stored.sha256
            done = _upload(row)
        path_of(library, key).unlink(missing_ok=True)
        return done, stored


def whole(library: Library, actor: Actor, key: str) -> Upload:
    """The upload with that key, all parts of which are here.

    Raises:
        NotFoundError: no such upload.
        ConflictError: parts are missing, or it was taken in as a part of a visit.
    """
    with library.reading() as session:
        known = upload(session, actor, key)
    if known.received_bytes != known.size_bytes or known.sha256 is not None:
        here = f"{known.received_bytes} of {known.size_bytes} bytes are here"
        raise ConflictError(f"upload {key}", here if known.sha256 is None else "it was taken in", "Send all of it")
    return known


def forget(work: Work, key: str) -> None:
    """Forgets an upload in a piece of work, when what it brought was taken in; :func:`drop_expired` deletes its file.

    Raises:
        NotFoundError: no such upload.
    """
    work.session.delete(_own(work.session, work.actor, key))


def drop(library: Library, actor: Actor, key: str) -> None:
    """Forgets an upload and what came of it.

    Raises:
        NotFoundError: no such upload.
    """
    with library.work(actor) as work:
        work.session.delete(_own(work.session, actor, key))
    path_of(library, key).unlink(missing_ok=True)


def drop_expired(library: Library, actor: Actor) -> int:
    """Forgets what nobody went on with, and files that belong to no upload; returns how many."""
    with library.work(actor) as work:
        old = work.session.scalars(select(UploadRow).where(UploadRow.expires_at <= work.at)).all()
        for row in old:
            work.session.delete(row)
        work.session.flush()
        kept = set(work.session.scalars(select(UploadRow.key)))
        for path in (library.media.folder / _FOLDER).glob("*"):
            if path.name.removesuffix(UNPACKED) not in kept:
                rmtree(path, ignore_errors=True) if path.is_dir() else path.unlink(missing_ok=True)
        return len(old)


def path_of(library: Library, key: str) -> Path:
    """Where the parts lie; the key is one of ours, which the table knows."""
    return library.media.folder / _FOLDER / key


def _whole(library: Library, known: Upload, file: IO[bytes], wanted_sha256: str) -> Stored:
    if known.received_bytes != known.size_bytes:
        raise ConflictError(
            f"upload {known.key}", f"{known.received_bytes} of {known.size_bytes} bytes are here", "Send the rest"
        )
    with _on_disk(library):
        file.truncate(known.size_bytes)
    file.seek(0)
    stored = library.media.add(file)
    if stored.sha256 == wanted_sha256:
        return stored
    raise ConflictError(
        f"upload {known.key}",
        f"the SHA-256 of what arrived is another: {stored.sha256}",
        "All of it is still here: finish with the right one, or drop the upload and send the file anew",
    )


@contextmanager
def _file(library: Library, actor: Actor, key: str) -> Iterator[tuple[Upload, IO[bytes]]]:
    """The upload and the file of its parts, for one at a time, in whichever process."""
    with library.reading() as session:
        upload(session, actor, key)
    path = path_of(library, key)
    with _on_disk(library):
        path.parent.mkdir(parents=True, exist_ok=True)
        file = os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT, 0o600), "r+b")
    with file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise ConflictError(f"upload {key}", "another part is arriving", "Wait for it, then go on") from None
        with library.reading() as session:
            known = upload(session, actor, key)
        yield known, file


@contextmanager
def _on_disk(library: Library) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise StoreError(
            str(library.media.folder), f"cannot be written ({error.strerror or error})", "Make room and go on"
        ) from error


def _key(key: str) -> str:
    """Keeps a name that is no key away from the disk."""
    if len(key) != 36 or not all(letter in "0123456789abcdef-" for letter in key):
        raise NotFoundError(f"upload {key[:40]!r}", "there is none, or it has expired", "Begin anew")
    return key


def _own(session: Session, actor: Actor, key: str) -> UploadRow:
    row = session.get(UploadRow, _key(key))
    if row is None or row.person_id != actor.person:
        raise NotFoundError(f"upload {key}", "there is none, or it has expired", "Begin anew")
    return row


def _upload(row: UploadRow) -> Upload:
    return Upload.model_validate({name: getattr(row, name) for name in Upload.model_fields})
