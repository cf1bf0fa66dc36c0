"""A real server over a library, in a process of its own on loopback."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def served(where: str, media: Path, errors: Path | None = None) -> Iterator[str]:
    """The address of `vouchbook serve`, which ends afterwards; what it says on standard error goes to ``errors``."""
    command = [sys.executable, "-m", "vouchbook", "serve", "--library", where, "--media", str(media), "--port", "0"]
    told = errors.open("w", encoding="utf-8") if errors else None
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=told, text=True)
    try:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        if not address:
            raise SystemExit("the server did not start; what it said is above")
        yield address
    finally:
        process.terminate()
        process.wait(30)
        if process.stdout:
            process.stdout.close()
        if told:
            told.close()
