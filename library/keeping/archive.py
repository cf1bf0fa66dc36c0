"""A bag as one file to send: a ZIP archive that holds one folder, the bag; and back, from whoever sent it.

Of an archive that came from elsewhere nothing is written before its whole list was looked at, and of each file no more
than the list says. It may hold plain files alone, by names as ours, stored or deflated. What a bag holds is looked at
after that, by :mod:`~vouchbook.library.keeping.unbag`.
"""

import os
import re
import shutil
import stat
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import file_digest
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo
from zlib import error as ZlibError  # noqa: N812  an exception by the name of one

from vouchbook.models.errors import DocumentError, StoreError
from vouchbook.models.record import Record

MOST_FILES = 200_000
MOST_BYTES = 256 << 30
_MOST_TIMES, _ALWAYS_BYTES = 50, 64 << 20
"""An archive may hold so many times its own size; small ones so many bytes in any case: lists of rows shrink well."""
_MOST_LIST_BYTES = 64 << 20
_BLOCK = 1 << 20
_NAME = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9._-]*(/[A-Za-z0-9_-][A-Za-z0-9._-]*)+")
_LONGEST_NAME = 300
_END, _PLACE_64, _END_64 = b"PK\x05\x06", b"PK\x06\x07", b"PK\x06\x06"
_END_BYTES, _PLACE_64_BYTES, _END_64_BYTES = 22, 20, 56
_ENDS_BYTES = _END_BYTES + _PLACE_64_BYTES


class Archive(Record):
    """An archive that was written."""

    name: str
    size_bytes: int
    sha256: str


def pack(bag: Path, target: Path) -> Archive:
    """Writes the folder ``bag`` into the archive ``target``, over one that is there; on the disk for good at the end.

    Raises:
        StoreError: the disk is full or may not be written.
    """
    with _on_disk(target), os.fdopen(os.open(target, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "w+b") as file:
        with ZipFile(file, "w", ZIP_STORED) as archive:
            for path in sorted(path for path in bag.rglob("*") if path.is_file()):
                info = ZipInfo(f"{bag.name}/{path.relative_to(bag).as_posix()}")
                info.external_attr = (stat.S_IFREG | 0o600) << 16
                info.file_size = path.stat().st_size  # so that it knows whether it needs the large form
                with path.open("rb") as source, archive.open(info, "w") as held:
                    shutil.copyfileobj(source, held, _BLOCK)
        file.flush()
        os.fsync(file.fileno())
        size = file.tell()
        file.seek(0)
        return Archive(name=target.name, size_bytes=size, sha256=file_digest(file, "sha256").hexdigest())


def look_into(file: IO[bytes], name: str) -> None:
    """Looks at the list of an archive, which messages call ``name``; nothing is unpacked.

    Raises:
        DocumentError: it is no archive, or it holds what no archive of ours does.
    """
    with _read(file, name) as archive:
        _listed(archive, file, name)


def unpack(file: IO[bytes], name: str, folder: Path) -> Path:
    """Unpacks an archive into ``folder``, which is there and empty; returns the bag in it.

    Raises:
        DocumentError: as for :func:`look_into`, or it is damaged, or a file is longer than the list says.
        StoreError: the disk is full or may not be written.
    """
    with _read(file, name) as archive:
        found = _listed(archive, file, name)
        if sum(info.file_size for info in found) > shutil.disk_usage(folder).free:
            raise StoreError(str(folder), "there is no room for what the archive holds", "Make room and do it again")
        for info in found:
            _one(archive, info, name, folder / info.filename)
    return folder / found[0].filename.split("/")[0]


def _listed(archive: ZipFile, file: IO[bytes], name: str) -> list[ZipInfo]:
    """The files of the archive, if nothing is strange about any of them."""
    entries = archive.infolist()
    found = [info for info in entries if not (info.is_dir() and info.file_size == 0)]
    if not found:
        raise _refused(name, "it holds nothing", "Export it again")
    if len(entries) > MOST_FILES:
        raise _refused(name, f"it holds more than {MOST_FILES} files", "Use none of an unknown source")
    for info in entries:
        problem = _strange(info)
        if problem:
            raise _refused(name, f"{info.orig_filename[:60]!r} {problem}", "Use none of an unknown source")
    if len({info.filename.lower() for info in found}) != len(found):
        raise _refused(name, "it holds two files of one name", "Use none of an unknown source")
    if len({info.filename.split("/")[0] for info in entries}) != 1:
        raise _refused(name, "it holds more than one folder", "Put one bag into one archive")
    most = min(MOST_BYTES, _MOST_TIMES * _size(file) + _ALWAYS_BYTES)
    if sum(info.file_size for info in found) > most:
        raise _refused(name, f"it would unpack to more than {most} bytes", "Use none of an unknown source")
    return found


def _strange(info: ZipInfo) -> str:
    """What is strange about an entry, or nothing."""
    kind = stat.S_IFMT(info.external_attr >> 16)
    plain = info.filename.removesuffix("/") + "/x" if info.is_dir() else info.filename
    if info.orig_filename != info.filename or len(plain) > _LONGEST_NAME or not _NAME.fullmatch(plain):
        return "is a name that no bag of ours has"
    if kind not in (0, stat.S_IFDIR if info.is_dir() else stat.S_IFREG):
        return "is a link or no plain file"
    if info.flag_bits & 0x1:
        return "is encrypted"
    if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
        return "is packed in a way that is not read here"
    return ""


def _one(archive: ZipFile, info: ZipInfo, name: str, path: Path) -> None:
    left = info.file_size
    try:
        with _on_disk(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            target = path.open("xb")
    except StoreError as error:
        if isinstance(error.__cause__, FileExistsError | NotADirectoryError | IsADirectoryError):
            raise _refused(name, f"{info.filename[:60]!r} is a file and a folder", "Send it again") from error
        raise
    with target:
        try:
            with archive.open(info) as source:
                while block := source.read(_BLOCK):
                    left -= len(block)
                    if left < 0:
                        break
                    with _on_disk(path):
                        target.write(block)
        except (BadZipFile, ZlibError, EOFError, NotImplementedError, ValueError) as error:
            raise _refused(name, f"{info.filename[:60]!r} is damaged ({error})", "Send it again") from error
    if left:
        raise _refused(name, f"{info.filename[:60]!r} has not the length that it says", "Send it again")


@contextmanager
def _read(file: IO[bytes], name: str) -> Iterator[ZipFile]:
    """The archive, its list read: not before it is known to be of a size that fits into memory."""
    try:
        if _list_bytes(file) > _MOST_LIST_BYTES:
            raise _refused(name, "its list is longer than any of ours", "Use none of an unknown source")
        archive = ZipFile(file)
    except (BadZipFile, struct.error, ValueError, NotImplementedError, UnicodeDecodeError, EOFError) as error:
        raise _refused(name, "it is no ZIP archive, or incomplete", "Send the archive of an export") from error
    with archive:
        yield archive


def _list_bytes(file: IO[bytes]) -> int:
    """How long the list is, by the record at the end (PKWARE APPNOTE 4.3.14 to 4.3.16, from memory).

    Read just where ours stands, with no comment behind it, so that no reader can find another one.
    """
    size = _size(file)
    file.seek(max(0, size - _ENDS_BYTES - _END_64_BYTES))
    tail = file.read()
    end, place, large = tail[-_END_BYTES:], tail[-_ENDS_BYTES:-_END_BYTES], tail[:-_ENDS_BYTES]
    if end[:4] != _END or end[-2:] != b"\0\0":
        raise BadZipFile
    if place[:4] != _PLACE_64:
        return int(struct.unpack_from("<L", end, 12)[0])
    if large[:4] != _END_64 or struct.unpack_from("<Q", place, 8)[0] != size - len(tail):
        raise BadZipFile
    return int(struct.unpack_from("<Q", large, 40)[0])


def _size(file: IO[bytes]) -> int:
    return file.seek(0, os.SEEK_END)


@contextmanager
def _on_disk(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        problem = f"cannot be written ({error.strerror or error})"
        raise StoreError(str(path.parent), problem, "Make room, or give a folder that may be written") from error


def _refused(name: str, problem: str, remedy: str) -> DocumentError:
    return DocumentError(name, problem, remedy)
