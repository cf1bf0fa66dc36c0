"""Who does the tasks: a thread beside the server on SQLite, a worker of procrastinate on PostgreSQL; one interface."""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from threading import Event, Thread

from vouchbook.library.actor import Work
from vouchbook.library.open import Library
from vouchbook.library.queue.kind import Kind
from vouchbook.library.queue.kinds import KINDS
from vouchbook.library.queue.run import do_next, new_worker
from vouchbook.models.errors import StoreError

LOOKS_EVERY_S = 5.0
"""How long a task waits at most where nobody told of it: another process asked for it, or a lease ended."""


class Worker(ABC):
    """Does the tasks of a library, one after the other, until it is stopped. What it does not end, another begins."""

    @abstractmethod
    def start(self) -> None:
        """Begins to work, in the background."""

    @abstractmethod
    def announce(self, work: Work, task_id: int) -> None:
        """Tells of a task that ``work`` asks for, so that it is begun as soon as the work is done."""

    @abstractmethod
    def stop(self) -> None:
        """Begins no other task, and waits for the one at hand for a few seconds."""


class Beside(Worker):
    """A thread of this process that looks into the table of tasks."""

    _STOPS_WITHIN_S = 5.0

    def __init__(
        self, library: Library, kinds: Mapping[str, Kind] = KINDS, looks_every_s: float = LOOKS_EVERY_S
    ) -> None:
        self._library, self._kinds, self._looks_every_s = library, kinds, looks_every_s
        self._name = new_worker()
        self._over, self._news = Event(), Event()
        self._thread = Thread(target=self._work, name="does tasks", daemon=True)

    def start(self) -> None:
        """Begins to work, in the background."""
        self._thread.start()

    def announce(self, work: Work, task_id: int) -> None:
        """Looks as soon as the work is done; before that the task is not there to be seen, and it looks again."""
        del work, task_id
        self._news.set()

    def stop(self) -> None:
        """Begins no other task, and waits for the one at hand for a few seconds."""
        self._over.set()
        self._news.set()
        if self._thread.is_alive():
            self._thread.join(self._STOPS_WITHIN_S)

    def _work(self) -> None:
        while not self._over.is_set():
            if not self._do_one():
                self._news.wait(self._looks_every_s)
                self._news.clear()

    def _do_one(self) -> bool:
        try:
            return do_next(self._library, self._name, kinds=self._kinds)
        except StoreError:  # busy, full or away for now: look again
            return False


def worker_of(library: Library, kinds: Mapping[str, Kind] = KINDS) -> Worker:
    """The worker that fits the database, for tasks of these kinds."""
    if library.url.get_backend_name() != "postgresql":
        return Beside(library, kinds)
    from vouchbook.library.queue.by_procrastinate import ByProcrastinate  # a second to load, for this database alone

    return ByProcrastinate(library, kinds)
