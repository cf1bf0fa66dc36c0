"""Output files: whole or not at all, UTF-8, beside the recording or in a folder."""

import os
import tempfile
from pathlib import Path

from vouchbook.models.errors import SettingError


def output_path(first_input: Path, folder: Path | None, ending: str) -> Path:
    """Where the output of ``first_input`` goes: ``talk.wav`` gives ``talk`` + ``ending``, beside it or there."""
    return (folder or first_input.parent) / (first_input.stem + ending)


def check_folder(first_input: Path, folder: Path | None) -> None:
    """Find out before an hour of work, not after it, that the folder of the outputs cannot be written; make ``folder``.

    Raises:
        SettingError: it cannot be made, or nothing can be written there.
    """
    target = folder or first_input.parent
    if folder is None and not target.is_dir():
        return  # then the input is missing as well, and that is the error to tell
    try:
        target.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=target):
            pass
    except OSError as error:
        raise _cannot_write(target, error) from error


def write_whole(path: Path, text: str) -> None:
    """Put ``text`` at ``path`` in one move; what stood there stays until then, and stays if it fails.

    Raises:
        SettingError: the folder cannot be made or written, or the disk is full.
    """
    unfinished: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        unfinished = Path(name)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        unfinished.chmod(0o666 & ~_umask())
        unfinished.replace(path)
    except OSError as error:
        raise _cannot_write(path, error) from error
    finally:
        if unfinished is not None:
            unfinished.unlink(missing_ok=True)


def _cannot_write(path: Path, error: OSError) -> SettingError:
    reason = error.strerror or type(error).__name__
    return SettingError(f"{path}: cannot be written ({reason}). Make room, or give another folder with --out.")


def _umask() -> int:
    """Temporary files are private; the finished one gets the rights that any new file would get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
