"""Reads a bag that came from elsewhere: nothing of it is used before all of it was verified.

Stricter than RFC 8493: what Vouchbook does not write (links, other folders, names with special letters, fetch.txt) is
refused, since every file of ours has a name that we gave.
"""

import os
import re
from collections.abc import Iterator
from hashlib import file_digest
from pathlib import Path

from vouchbook.library.keeping.bag import DECLARED, INFO, PAYLOAD, TAGS
from vouchbook.models.errors import DocumentError

_LINE = re.compile(r"([0-9a-fA-F]{64})[ \t]+\*?(\S.*)")
_NAME = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9._-]*(/[A-Za-z0-9_-][A-Za-z0-9._-]*)*")
_DECLARATION = re.compile(r"BagIt-Version: (0\.97|1\.0)\r?\nTag-File-Character-Encoding: UTF-8\r?\n?")
_TAG_FILES = {DECLARED, INFO, PAYLOAD, TAGS}
_MOST_TAG_BYTES = 1 << 28
_SOURCE_SHOWN = 60


class VerifiedBag:
    """A bag of which every file was found to be what its manifest says. :func:`verified` makes it."""

    def __init__(self, folder: Path, payload: dict[str, str], info: dict[str, str]) -> None:
        self.folder = folder
        self.payload = payload
        """The SHA-256 of each file by its name below ``data/``."""
        self.info = info

    def path(self, name: str) -> Path:
        """The file ``data/name``.

        Raises:
            DocumentError: the bag has none.
        """
        if name not in self.payload:
            raise _refused(self.folder, f"it has no {name}", "That is no bag of a library")
        return self.folder / "data" / name


def verified(folder: Path) -> VerifiedBag:
    """The bag at ``folder``, each file of it read and compared.

    Raises:
        DocumentError: it is no bag, it is incomplete or damaged, or it holds something that no bag of ours does.
    """
    try:
        found = set(_files(folder, folder))
        if not _DECLARATION.fullmatch(_tag(folder, DECLARED, found)):
            raise _refused(folder, "bagit.txt does not say that it is a bag of version 1.0 in UTF-8", "Export it again")
        tags = _manifest(folder, TAGS, found)
        payload = _manifest(folder, PAYLOAD, found)
        strange = {name for name in payload if not name.startswith("data/")}
        if strange:
            raise _refused(
                folder, f"{_some(strange)} lies outside of data/", "Use no bag of a source that you do not know"
            )
        if set(tags) != _TAG_FILES - {TAGS}:
            raise _refused(folder, f"{TAGS} does not list just {_some(_TAG_FILES - {TAGS})}", "Export it again")
        _compare(folder, {**tags, **payload}, found - {TAGS})
        info = _info(_tag(folder, INFO, found))
    except UnicodeDecodeError:
        raise _refused(folder, "one of its lists is no UTF-8", "Copy the bag again") from None
    except OSError as error:
        raise _refused(folder, f"it cannot be read ({error.strerror or error})", "Check the folder") from error
    return VerifiedBag(folder, {name.removeprefix("data/"): digest for name, digest in payload.items()}, info)


def _files(top: Path, folder: Path) -> Iterator[str]:
    """The names of all files, without following anything."""
    with os.scandir(folder) as entries:
        for entry in entries:
            name = Path(entry.path).relative_to(top).as_posix()
            if entry.is_symlink() or not (entry.is_dir(follow_symlinks=False) or entry.is_file(follow_symlinks=False)):
                raise _refused(top, f"{_shown(name)} is a link or no plain file", "Export it again, without links")
            if name == "fetch.txt":
                raise _refused(top, "fetch.txt lists files that are elsewhere", "Give a bag that holds all its files")
            if entry.is_dir(follow_symlinks=False):
                yield from _files(top, Path(entry.path))
            else:
                yield name


def _manifest(folder: Path, name: str, found: set[str]) -> dict[str, str]:
    listed: dict[str, str] = {}
    for line in _tag(folder, name, found).removesuffix("\n").split("\n"):  # splitlines would split at more than that
        parts = _LINE.fullmatch(line.removesuffix("\r"))
        if parts is None:
            raise _refused(folder, f"{name} holds a line that is none: {_shown(line)}", "Copy the bag again")
        digest, path = parts.groups()
        if not _NAME.fullmatch(path):
            raise _refused(
                folder, f"{name} lists {_shown(path)}, a name that no bag of ours has", "Use none of an unknown source"
            )
        if path in listed:
            raise _refused(folder, f"{name} lists {_shown(path)} twice", "Export it again")
        listed[path] = digest.lower()
    return listed


def _compare(folder: Path, listed: dict[str, str], found: set[str]) -> None:
    missing, extra = set(listed) - found, found - set(listed)
    if missing:
        raise _refused(folder, f"it is incomplete: {_some(missing)} is missing", "Copy the whole bag again")
    if extra:
        raise _refused(folder, f"{_some(extra)} is in no list", "Export it again, and add nothing to it")
    for name, digest in listed.items():
        with (folder / name).open("rb") as file:
            if file_digest(file, "sha256").hexdigest() != digest:
                raise _refused(folder, f"{name} is damaged: its SHA-256 is another", "Copy the bag again")


def _tag(folder: Path, name: str, found: set[str]) -> str:
    if name not in found:
        raise _refused(folder, f"it has no {name}", "That is no bag, or an incomplete one: copy all of it")
    path = folder / name
    if path.stat().st_size > _MOST_TAG_BYTES:
        raise _refused(folder, f"{name} is larger than any of ours", "Use none of an unknown source")
    return path.read_bytes().decode("utf-8")


def _info(text: str) -> dict[str, str]:
    pairs = (line.partition(":") for line in text.splitlines() if ":" in line)
    return {name.strip(): value.strip() for name, _, value in pairs}


def _some(names: set[str]) -> str:
    first = _shown(min(names))
    return first if len(names) == 1 else f"{first} (and {len(names) - 1} more)"


def _shown(text: str) -> str:
    return repr(text[:_SOURCE_SHOWN])


def _refused(folder: Path, problem: str, remedy: str) -> DocumentError:
    return DocumentError(str(folder), problem, remedy)
