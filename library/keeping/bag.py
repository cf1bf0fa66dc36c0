"""Writes a bag (BagIt, RFC 8493): a folder of files with their SHA-256 in a manifest, for keeping or for elsewhere."""

import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from hashlib import file_digest, sha256
from pathlib import Path

from vouchbook.library.store.disk import flush
from vouchbook.models.errors import StoreError

DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
DECLARED = "bagit.txt"
PAYLOAD = "manifest-sha256.txt"
TAGS = "tagmanifest-sha256.txt"
INFO = "bag-info.txt"
_UNFINISHED = ".unfinished"


class Bag:
    """A bag that is being written: its files come one by one, names are ours alone and hold no special letters."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._listed: dict[str, str] = {}
        self._octets = 0

    def lines(self, name: str, lines: Iterable[bytes]) -> None:
        """Adds ``data/name`` with one line for each of ``lines``."""
        digest, path = sha256(), self._path(name)
        with path.open("wb") as file:
            for line in lines:
                file.write(line + b"\n")
                digest.update(line + b"\n")
                self._octets += len(line) + 1
            _flush(file.fileno())
        self._listed[f"data/{name}"] = digest.hexdigest()

    def medium(self, source: Path, known: str, *, links: bool) -> None:
        """Adds a medium under its hash, as a copy or, ``links``, as another name of the same file.

        Raises:
            StoreError: the file is not there, or not what was stored.
        """
        path = self._path(f"media/{known[:2]}/{known[2:]}")
        try:
            if links:
                os.link(source, path)
            else:
                shutil.copyfile(source, path)
        except FileNotFoundError:
            raise StoreError(
                f"medium {known}", "its file is not in the media folder", "Look with library check"
            ) from None
        with path.open("rb") as file:
            found = file_digest(file, "sha256").hexdigest()
            self._octets += file.tell()
            _flush(file.fileno())
        if found != known:
            raise StoreError(f"medium {known}", "its file holds other bytes", "Look with library check")
        self._listed[f"data/media/{known[:2]}/{known[2:]}"] = known

    def close(self, info: Mapping[str, str]) -> None:
        """Writes the manifests and what the bag says of itself."""
        told = {**info, "Payload-Oxum": f"{self._octets}.{len(self._listed)}"}
        tags = {
            DECLARED: DECLARATION,
            INFO: "".join(f"{name}: {' '.join(value.split())}\n" for name, value in told.items()),
            PAYLOAD: "".join(f"{self._listed[name]}  {name}\n" for name in sorted(self._listed)),
        }
        tags[TAGS] = "".join(f"{sha256(text.encode()).hexdigest()}  {name}\n" for name, text in sorted(tags.items()))
        for name, text in tags.items():
            with (self._folder / name).open("wb") as file:
                file.write(text.encode())
                _flush(file.fileno())

    def _path(self, name: str) -> Path:
        path = self._folder / "data" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path


@contextmanager
def new_bag(folder: Path) -> Iterator[Bag]:
    """A bag at ``folder``, which is there as a whole when this ends without an exception, and otherwise not at all.

    Raises:
        StoreError: something is there already, or the disk is full or may not be written.
    """
    if folder.exists():
        raise StoreError(str(folder), "something is there already", "Give a folder that is not there yet")
    beside = folder.with_name(folder.name + _UNFINISHED)
    try:
        shutil.rmtree(beside, ignore_errors=True)  # of one that was interrupted
        beside.mkdir(mode=0o700, parents=True)
        (beside / "data").mkdir()
        yield Bag(beside)
        beside.rename(folder)
        flush(folder.parent)
    except OSError as error:
        problem = f"cannot be written ({error.strerror or error})"
        raise StoreError(str(folder), problem, "Make room, or give a folder that may be written") from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def info_of(description: str, identifier: str, day: date) -> dict[str, str]:
    """What every bag of ours says of itself, by the names that RFC 8493, section 2.2.2, reserves."""
    return {
        "External-Description": description,
        "External-Identifier": identifier,
        "Bagging-Date": day.isoformat(),
        "Bag-Software-Agent": "vouchbook",
    }


def _flush(number: int) -> None:
    os.fsync(number)
