import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Protocol

import pytest

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.queue.kinds import INDEX
from vouchbook.library.queue.tasks import LEASE, claim, enqueue, task
from vouchbook.library.queue.workers import Worker, worker_of
from vouchbook.models.people import THE_LIBRARY, Actor, actor_of


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime


@pytest.fixture
def archivist(library: Library) -> Actor:
    with library.work(THE_LIBRARY) as work:
        return actor_of(add_person(work, "alva", "Alva", ["archivist"]))


@pytest.fixture
def worker(library: Library) -> Iterator[Worker]:
    worker = worker_of(library)
    worker.start()
    yield worker
    worker.stop()


def wait_until(holds: Callable[[], bool]) -> None:
    for _ in range(600):
        if holds():
            return
        time.sleep(0.1)
    raise AssertionError("it did not come about within a minute")


def is_done(library: Library, number: int) -> bool:
    with library.reading() as session:
        return task(session, number).state == "done"


def test_what_is_asked_for_is_done(library: Library, archivist: Actor, worker: Worker) -> None:
    numbers = []
    for _ in range(3):
        with library.work(archivist) as work:
            numbers.append(enqueue(work, INDEX, {}).id)
            worker.announce(work, numbers[-1])
    wait_until(lambda: all(is_done(library, number) for number in numbers))


def test_what_another_process_asked_for_is_done_too(library: Library, archivist: Actor, worker: Worker) -> None:
    """Nobody announces it here: a command line asked for it, or the library was moved from another database."""
    del worker
    with library.work(archivist) as work:
        number = enqueue(work, INDEX, {}).id
    wait_until(lambda: is_done(library, number))


def test_what_a_killed_worker_had_is_done_after_its_lease(
    library: Library, archivist: Actor, worker: Worker, clock: Wound
) -> None:
    with library.work(archivist) as work:
        number = enqueue(work, INDEX, {}).id
        assert claim(work, "killed") is not None
        worker.announce(work, number)
    clock.at += LEASE
    wait_until(lambda: is_done(library, number))
    with library.reading() as session:
        assert task(session, number).attempts == 2


def test_a_task_that_did_not_come_about_is_not_done(library: Library, archivist: Actor, worker: Worker) -> None:
    def interrupted() -> None:
        with library.work(archivist) as work:
            worker.announce(work, enqueue(work, INDEX, {}).id)
            raise KeyError

    with pytest.raises(KeyError):
        interrupted()
    with library.work(archivist) as work:
        number = enqueue(work, INDEX, {}).id
        worker.announce(work, number)
    wait_until(lambda: is_done(library, number))


def test_announcing_twice_is_doing_once(library: Library, archivist: Actor, worker: Worker) -> None:
    with library.work(archivist) as work:
        number = enqueue(work, INDEX, {}, key="index").id
        worker.announce(work, number)
        worker.announce(work, number)
    wait_until(lambda: is_done(library, number))
    with library.reading() as session:
        assert task(session, number).attempts == 1


def test_two_servers_share_the_work(where: str, media: Path, library: Library, archivist: Actor) -> None:
    with open_library(where, media=media, clock=library.clock, busy_s=10) as second:
        workers = [worker_of(library), worker_of(second)]
        for worker in workers:
            worker.start()
        numbers = []
        for _ in range(6):
            with library.work(archivist) as work:
                numbers.append(enqueue(work, INDEX, {}).id)
                workers[0].announce(work, numbers[-1])
        wait_until(lambda: all(is_done(library, number) for number in numbers))
        for worker in workers:
            worker.stop()
    with library.reading() as session:
        assert [task(session, number).attempts for number in numbers] == [1] * 6
