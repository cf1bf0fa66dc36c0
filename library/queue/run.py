"""Does one task, from its claim to its end, whatever happens on the way."""

import logging
import os
from collections.abc import Mapping
from secrets import token_hex
from threading import Event, Lock, Thread

from vouchbook.library.open import Library
from vouchbook.library.people.people import person
from vouchbook.library.queue.kind import Kind
from vouchbook.library.queue.kinds import KINDS
from vouchbook.library.queue.tasks import LEASE, Claimed, claim, fail, finish, has, hold
from vouchbook.models.errors import StoreError, VouchbookError
from vouchbook.models.people import THE_LIBRARY, Actor, actor_of

_LOG = logging.getLogger(__name__)
_TELL_EVERY_S = 1.0
_HOLD_EVERY_S = LEASE.total_seconds() / 4


class LostError(Exception):
    """Somebody else has the task by now, so that what was done here is not written."""


def new_worker() -> str:
    """A name that no other worker has, anywhere."""
    return f"{os.getpid()}-{token_hex(8)}"


def do_next(library: Library, worker: str, task_id: int | None = None, kinds: Mapping[str, Kind] | None = None) -> bool:
    """Does the task of that number, or the oldest that can be begun; False where there is none to do."""
    with library.work(THE_LIBRARY) as work:
        claimed = claim(work, worker, task_id)
    if claimed is None:
        return False
    try:
        _do(library, claimed, KINDS if kinds is None else kinds)
    except LostError:
        _LOG.warning("task %s is done by another worker", claimed.id)
    return True


def _do(library: Library, claimed: Claimed, kinds: Mapping[str, Kind]) -> None:
    try:
        _done(library, claimed, kinds)
    except StoreError as error:
        _failed(library, claimed, str(error), may_try_again=True)
    except VouchbookError as error:
        _failed(library, claimed, str(error))
    except LostError:
        raise
    except Exception as error:  # noqa: BLE001  one bad file must not end the worker and leave everybody waiting
        _LOG.exception("task %s failed", claimed.id)
        _failed(library, claimed, f"a defect of Vouchbook ({type(error).__name__}); the log of the server tells more")


def _done(library: Library, claimed: Claimed, kinds: Mapping[str, Kind]) -> None:
    kind = kinds.get(claimed.kind)
    if kind is None:
        raise StoreError(f"task {claimed.id}", f"nobody here does {claimed.kind!r}", "Update Vouchbook")
    actor = _actor(library, claimed)
    with _Held(library, claimed) as held:
        write = kind(library, claimed.arguments, held.tell)
    with library.work(actor) as work:
        if not has(work, claimed):  # before it writes: a file that it names cannot be taken back
            raise LostError
        finish(work, claimed, write(work))


def _failed(library: Library, claimed: Claimed, why: str, *, may_try_again: bool = False) -> None:
    with library.work(THE_LIBRARY) as work:
        fail(work, claimed, why, may_try_again=may_try_again)


def _actor(library: Library, claimed: Claimed) -> Actor:
    """On whose behalf: with the roles that they have now."""
    if claimed.person is None:
        return THE_LIBRARY
    with library.reading() as session:
        return actor_of(person(session, claimed.person))


class _Held:
    """Keeps the claim while the work lasts, and tells how far it is, at most once a second."""

    def __init__(self, library: Library, claimed: Claimed) -> None:
        self._library, self._claimed = library, claimed
        self._over, self._lost, self._lock = Event(), Event(), Lock()
        self._told = self._news = (0.0, "")
        self._thread = Thread(target=self._keep, name=f"holds task {claimed.id}", daemon=True)

    def tell(self, progress: float, message: str) -> None:
        """Takes note of how far it is.

        Raises:
            LostError: somebody else has the task; there is no use in going on.
        """
        with self._lock:
            self._news = (progress, message)
        if self._lost.is_set():
            raise LostError

    def __enter__(self) -> "_Held":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _keep(self) -> None:
        waited_s = 0.0
        while not self._over.wait(_TELL_EVERY_S):
            waited_s += _TELL_EVERY_S
            with self._lock:
                news = self._news
            if news == self._told and waited_s < _HOLD_EVERY_S:
                continue
            try:
                with self._library.work(THE_LIBRARY) as work:
                    if not hold(work, self._claimed, *news):
                        self._lost.set()
                        return
            except StoreError as error:  # busy: there are three more tries before the lease ends
                _LOG.warning("task %s: %s", self._claimed.id, error)
                continue
            self._told, waited_s = news, 0.0
