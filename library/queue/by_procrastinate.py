"""Tasks on PostgreSQL, handed out by procrastinate: a job of it names a task, and the task tells all the rest.

The job is written in the transaction that asks for the task. A task whose job got lost (a worker was killed, a library
was moved here from SQLite) gets another when the worker looks; a job whose task is done or taken does nothing.
"""

import asyncio
import logging
from collections.abc import Mapping
from threading import Event, Thread
from typing import Any

import procrastinate
import psycopg
from procrastinate.exceptions import AlreadyEnqueued, ConnectorException
from procrastinate.jobs import Status
from sqlalchemy import Connection

from vouchbook.library.actor import Work
from vouchbook.library.open import Library
from vouchbook.library.queue.kind import Kind
from vouchbook.library.queue.kinds import KINDS
from vouchbook.library.queue.run import do_next, new_worker
from vouchbook.library.queue.tasks import free_tasks
from vouchbook.library.queue.workers import LOOKS_EVERY_S, Worker
from vouchbook.library.store.troubles import told
from vouchbook.models.errors import StoreError

_LOG = logging.getLogger(__name__)
_QUEUE, _DO = "vouchbook", "vouchbook:do"
_DEAD_AFTER_S = 60.0
_STOPS_WITHIN_S = 5.0


class ByProcrastinate(Worker):
    """A worker of procrastinate in a thread of this process."""

    def __init__(
        self, library: Library, kinds: Mapping[str, Kind] = KINDS, looks_every_s: float = LOOKS_EVERY_S
    ) -> None:
        self._library, self._kinds, self._looks_every_s = library, kinds, looks_every_s
        self._name = new_worker()
        self._over = Event()
        self._threads = [Thread(target=target, daemon=True) for target in (self._work, self._sweep_often)]
        self._defers = procrastinate.App(connector=procrastinate.SyncPsycopgConnector())
        self._ends: tuple[asyncio.AbstractEventLoop, asyncio.Task[None]] | None = None

    def start(self) -> None:
        """Begins to work, in the background."""
        for thread in self._threads:
            thread.start()

    def announce(self, work: Work, task_id: int) -> None:
        """Writes the job into the transaction of ``work``; its end wakes the workers."""
        self._defer(work.session.connection(), task_id)

    def stop(self) -> None:
        """Begins no other task, and waits for the one at hand for a few seconds."""
        self._over.set()
        if self._ends is not None:
            loop, worker = self._ends
            loop.call_soon_threadsafe(worker.cancel)
        for thread in self._threads:
            if thread.is_alive():
                thread.join(2 * _STOPS_WITHIN_S)

    def _defer(self, connection: Connection, task_id: int) -> None:
        driver: Any = connection.connection.driver_connection
        job = self._defers.configure_task(
            _DO, queue=_QUEUE, queueing_lock=f"task {task_id}", connection=driver, allow_unknown=True
        )
        try:
            with driver.transaction():  # a point to go back to: a refused job must not end the whole work
                job.defer(task_id=task_id)
        except AlreadyEnqueued:
            _LOG.debug("task %s has a job that waits", task_id)

    def _work(self) -> None:
        while not self._over.is_set():
            try:
                asyncio.run(self._worker())
            except (ConnectorException, psycopg.Error) as error:
                _LOG.warning("the worker lost the database and begins again: %s", error)
            except asyncio.CancelledError:
                return
            self._over.wait(self._looks_every_s)

    async def _worker(self) -> None:
        app = procrastinate.App(connector=procrastinate.PsycopgConnector(conninfo=_conninfo(self._library)))

        @app.task(name=_DO, queue=_QUEUE)
        def _do(task_id: int) -> None:
            do_next(self._library, self._name, task_id, self._kinds)

        running = asyncio.current_task()
        assert running is not None
        self._ends = (asyncio.get_running_loop(), running)
        if self._over.is_set():
            return
        async with app.open_async():
            for job in await app.job_manager.get_stalled_jobs(queue=_QUEUE, seconds_since_heartbeat=_DEAD_AFTER_S):
                await app.job_manager.finish_job(job, Status.FAILED, delete_job=True)  # the task itself gets another
            await app.run_worker_async(
                queues=[_QUEUE],
                install_signal_handlers=False,
                delete_jobs="always",
                shutdown_graceful_timeout=_STOPS_WITHIN_S,
                fetch_job_polling_interval=self._looks_every_s,
                stalled_worker_timeout=_DEAD_AFTER_S,
            )

    def _sweep_often(self) -> None:
        while not self._over.is_set():
            try:
                self._sweep()
            except (StoreError, ConnectorException) as error:
                _LOG.warning("tasks without a job were not looked for: %s", error)
            self._over.wait(self._looks_every_s)

    def _sweep(self) -> None:
        """Gives a job to every task that can be begun and has none."""
        with self._library.reading() as session:
            free = free_tasks(session, self._library.clock())
        for task_id in free:
            with told(self._library.url), self._library.engine.begin() as connection:
                self._defer(connection, task_id)


def _conninfo(library: Library) -> str:
    url = library.url.set(drivername="postgresql")
    return url.render_as_string(hide_password=False)
