"""The folder of media: each file once, under its SHA-256, and never changed.

``media/ab/cdef...`` holds the file whose hash begins with "ab". Names that people gave are kept in the database alone
and never become part of a path.
"""

import errno
import os
import re
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from hashlib import file_digest, sha256
from io import BufferedReader
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO, Literal

from vouchbook.library.store.disk import flush, sweep
from vouchbook.models.errors import NotFoundError, StoreError
from vouchbook.models.record import Record

_ARRIVING = "arriving"
_BLOCK = 1 << 20
_LONGEST_NAME = 200
_SHA256 = re.compile(r"[0-9a-f]{64}")


class Stored(Record):
    """A file of the folder."""

    sha256: str
    size_bytes: int


class Trouble(Record):
    """What is wrong with one file, in one sentence."""

    sha256: str
    kind: Literal["missing", "damaged", "unknown"]
    sentence: str


class Media:
    """The files under ``folder``."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, sha256: str) -> Path:
        """Where the file with this hash is, or would be.

        Raises:
            NotFoundError: that is no SHA-256 in small hexadecimal letters.
        """
        if not _SHA256.fullmatch(sha256):
            raise NotFoundError(f"medium {sha256[:80]!r}", "that is no SHA-256", "Give 64 letters of 0 to 9 and a to f")
        return self.folder / sha256[:2] / sha256[2:]

    def add(self, source: Path | IO[bytes]) -> Stored:
        """Stores a copy and returns its hash; one that is there already, and sound, stays as it is.

        When this returns, the copy is on the disk for good: it was written beside, flushed, and then given its name.

        Raises:
            StoreError: the disk is full or may not be written. Nothing half-written stays.
            OSError: ``source`` cannot be read.
        """
        if isinstance(source, Path):
            with source.open("rb") as file:
                return self.add(file)
        arriving = self.folder / _ARRIVING
        with self._writing():
            arriving.mkdir(parents=True, exist_ok=True)
            beside = NamedTemporaryFile(dir=arriving, delete=False)  # noqa: SIM115  closed below, before it is renamed
        try:
            with beside:
                stored = self._copied(source, beside.file)
            with self._writing():
                self._named(Path(beside.name), stored.sha256)
        finally:
            Path(beside.name).unlink(missing_ok=True)
        return stored

    def open(self, sha256: str) -> BufferedReader:
        """The file, to be read.

        Raises:
            NotFoundError: it is not there.
        """
        try:
            return self.path(sha256).open("rb")
        except FileNotFoundError:
            raise NotFoundError(
                f"medium {sha256}", "its file is not in the media folder", "Restore it from a backup, or add it again"
            ) from None

    def verify(self, sha256: str, size_bytes: int | None = None) -> Trouble | None:
        """What is wrong with the file: it is read from its first byte to its last. None when it is sound."""
        try:
            with self.open(sha256) as file:
                found = file_digest(file, "sha256").hexdigest()
                length = file.tell()
        except NotFoundError as error:
            return Trouble(sha256=sha256, kind="missing", sentence=str(error))
        except OSError as error:
            return Trouble(
                sha256=sha256, kind="damaged", sentence=f"medium {sha256}: cannot be read ({error.strerror})."
            )
        if found == sha256 and size_bytes in (None, length):
            return None
        told = f"{length} bytes where {size_bytes} were stored" if size_bytes not in (None, length) else "other bytes"
        return Trouble(
            sha256=sha256,
            kind="damaged",
            sentence=f"medium {sha256}: its file holds {told}. Restore it from a backup, or add it again.",
        )

    def troubles(self, known: Iterable[tuple[str, int]]) -> Iterator[Trouble]:
        """Everything that is wrong with the folder, given the hash and size of each file that should be there."""
        expected = set()
        for name, size_bytes in known:
            expected.add(name)
            trouble = self.verify(name, size_bytes)
            if trouble is not None:
                yield trouble
        for path in sorted(self.folder.glob("??/*")):
            name = path.parent.name + path.name
            if _SHA256.fullmatch(name) and name not in expected:
                yield Trouble(
                    sha256=name,
                    kind="unknown",
                    sentence=f"medium {name}: no visit has it; an interrupted addition may have left it.",
                )

    def remove(self, sha256: str) -> None:
        """Deletes the file, if it is there. Who may, and why, is decided and told in the journal by the caller."""
        with self._writing():
            path = self.path(sha256)
            path.unlink(missing_ok=True)
            if path.parent.exists():
                flush(path.parent)

    def sweep(self) -> int:
        """Removes what additions that were interrupted more than a day ago left; returns how many files."""
        return sweep(path for path in self.folder.glob(f"{_ARRIVING}/*") if path.is_file())

    def _copied(self, source: IO[bytes], target: IO[bytes]) -> Stored:
        digest, size = sha256(), 0
        while block := source.read(_BLOCK):
            digest.update(block)
            size += len(block)
            with self._writing():
                target.write(block)
        with self._writing():
            target.flush()
            os.fchmod(target.fileno(), 0o440)
            os.fsync(target.fileno())
        return Stored(sha256=digest.hexdigest(), size_bytes=size)

    def _named(self, beside: Path, sha256: str) -> None:
        path = self.path(sha256)
        if path.exists() and self.verify(sha256) is None:
            return
        path.parent.mkdir(exist_ok=True)
        beside.replace(path)
        flush(path.parent)
        flush(self.folder)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            full = error.errno in (errno.ENOSPC, errno.EDQUOT)
            problem = "the disk is full" if full else f"cannot be written ({error.strerror or error})"
            remedy = "Make room and do it again" if full else "Check whose the folder is and what it allows"
            raise StoreError(str(self.folder), problem, remedy) from error


def plain_name(name: str) -> str:
    """``name`` as it may be shown: its last part, without control and direction characters, 200 characters at most."""
    last = re.split(r"[/\\]", name)[-1]
    shown = "".join(letter for letter in last if unicodedata.category(letter) not in ("Cc", "Cf", "Cs", "Co", "Cn"))
    return shown.strip()[:_LONGEST_NAME] or "unnamed"
