"""Results of hearing, kept so that a second run takes no time and an interrupted one goes on where it stopped.

One folder for each recording (by the hash of the file) and way of hearing (settings, model, engine, version of this
code), one small file for each chunk of it, by the sample at which the chunk starts.
"""

import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final, TypeVar

from pydantic import ValidationError

from vouchbook.models.record import Record

HEARING_VERSION: Final = 2
"""Goes up whenever the same sound and settings may give other results than before."""

AnyRecord = TypeVar("AnyRecord", bound=Record)


class HearingCache:
    """The kept results of one recording, heard in one way. ``folder`` None keeps nothing."""

    def __init__(self, folder: Path | None, sha256: str, way: Mapping[str, object]) -> None:
        said = json.dumps({"version": HEARING_VERSION, **way}, sort_keys=True, default=str)
        key = hashlib.sha256(said.encode()).hexdigest()[:16]
        self._folder = folder / "hearing" / sha256 / key if folder is not None else None
        self.failed = False
        """Whether a result could not be kept: the disk is full, or the folder cannot be written."""

    def load(self, sample: int, kind: type[AnyRecord]) -> AnyRecord | None:
        """The result that was kept for the chunk at ``sample``, or None: not there, damaged, or of another shape."""
        if self._folder is None:
            return None
        try:
            stored = self._path(self._folder, sample).read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            return None
        digest, _, body = stored.partition("\n")
        if hashlib.sha256(body.encode()).hexdigest() != digest:
            return None
        try:
            return kind.model_validate_json(body)
        except ValidationError:
            return None

    def store(self, sample: int, record: Record) -> None:
        """Keep ``record`` for the chunk at ``sample``: whole or not at all; a failure only sets :attr:`failed`."""
        if self._folder is None:
            return
        body = record.model_dump_json()
        text = hashlib.sha256(body.encode()).hexdigest() + "\n" + body
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            handle, unfinished = tempfile.mkstemp(prefix=".", dir=self._folder)
            try:
                with os.fdopen(handle, "w", encoding="utf-8") as file:
                    file.write(text)
                Path(unfinished).replace(self._path(self._folder, sample))
            finally:
                Path(unfinished).unlink(missing_ok=True)
        except OSError:
            self.failed = True

    @staticmethod
    def _path(folder: Path, sample: int) -> Path:
        return folder / f"{sample:012d}.json"


def file_sha256(path: Path) -> str:
    """The SHA-256 of the file at ``path`` as 64 hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
