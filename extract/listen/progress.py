"""How far hearing has come, and how long it will take."""

import time
from collections.abc import Callable, Sequence

from vouchbook.models.record import Record


class Progress(Record):
    """Seconds of sound done of all; ``total_s`` and ``left_s`` (seconds by the clock) are None while unknown."""

    done_s: float
    total_s: float | None
    left_s: float | None


class ProgressClock:
    """Counts seconds heard, and tells the time left by the speed so far. What was kept from before has no speed."""

    def __init__(self, durations_s: Sequence[float | None], on_progress: Callable[[Progress], None] | None) -> None:
        known = [duration for duration in durations_s if duration is not None]
        self._total_s = sum(known) if len(known) == len(durations_s) else None
        self._tell = on_progress or (lambda _: None)
        self._finished_s = 0.0
        self._kept_s = 0.0
        self._started = time.monotonic()
        self._emit(0.0)

    def heard(self, chunk_s: float) -> None:
        """``chunk_s`` seconds of the chunk at hand are done."""
        self._emit(self._finished_s + chunk_s)

    def finish(self, chunk_s: float, *, was_kept: bool) -> None:
        """A chunk of ``chunk_s`` seconds is done, or was kept from an earlier run."""
        self._finished_s += chunk_s
        if was_kept:
            self._kept_s += chunk_s
        self._emit(self._finished_s)

    def end_file(self, claimed_s: float | None, heard_s: float) -> None:
        """A file is done: the total is set right where its header told another length than its sound has."""
        if self._total_s is not None and claimed_s is not None:
            self._total_s += heard_s - claimed_s
        self._emit(self._finished_s)

    def _emit(self, done_s: float) -> None:
        total_s = max(self._total_s, done_s) if self._total_s is not None else None
        heard_s = done_s - self._kept_s
        elapsed_s = time.monotonic() - self._started
        left_s = (total_s - done_s) * elapsed_s / heard_s if total_s is not None and heard_s > 0 else None
        self._tell(Progress(done_s=round(done_s, 3), total_s=total_s, left_s=left_s))
