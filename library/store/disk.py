"""What holds for every folder that the library writes: names that survive a power cut, and rests that are swept."""

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from shutil import rmtree
from time import time

OLD_S = 24 * 3600.0
"""What nobody wrote to for so long, nobody is writing. Our choice."""


def flush(path: Path) -> None:
    """Makes a file, or the names in a folder, survive a power cut."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def sweep(paths: Iterable[Path]) -> int:
    """Deletes those files and folders of ``paths`` that nobody wrote to for a day; returns how many.

    Each is something that was being made. A folder is as young as the youngest thing in it, so that what another
    process is at work on stays, however long ago it began.
    """
    old = [path for path in paths if _last_written(path) < time() - OLD_S]
    for path in old:
        if path.is_dir() and not path.is_symlink():
            rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)
    return len(old)


def _last_written(path: Path) -> float:
    """When something in it was written for the last time; never long ago where it goes away meanwhile."""
    try:
        last = path.lstat().st_mtime
    except FileNotFoundError:
        return time()
    for folder, folders, files in os.walk(path):
        for name in (*folders, *files):
            with suppress(FileNotFoundError):
                last = max(last, (Path(folder) / name).lstat().st_mtime)
    return last
