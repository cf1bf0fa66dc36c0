"""Plays seconds of a recording by a player of this machine, and says how long it really played."""

import shutil
import subprocess
from pathlib import Path
from time import monotonic

_PLAYERS = {
    "ffplay": ("-nodisp", "-autoexit", "-loglevel", "error", "-ss", "{start}", "-t", "{length}", "-i", "{file}"),
    "mpv": ("--really-quiet", "--no-video", "--start={start}", "--length={length}", "{file}"),
}


def player() -> str | None:
    """The first known player on the path, or None."""
    return next((name for name in _PLAYERS if shutil.which(name)), None)


def play(name: str, file: Path, start_s: float, end_s: float) -> float:
    """Plays ``start_s`` to ``end_s`` of ``file``; gives the second at which it stopped, ``start_s`` if it could not."""
    values = {"start": f"{start_s:.3f}", "length": f"{end_s - start_s:.3f}", "file": str(file)}
    command = [shutil.which(name) or name, *(part.format_map(values) for part in _PLAYERS[name])]
    begun = monotonic()
    done = subprocess.run(command, stdin=subprocess.DEVNULL, check=False)  # noqa: S603  a fixed command, our own file
    played_s = monotonic() - begun
    return min(end_s, start_s + played_s) if done.returncode == 0 else start_s
