"""Tasks as they are kept: asked for, claimed for a while, ended. One table on both databases tells all of it.

A claim ends by itself after :data:`LEASE`, so that what a killed process had begun is begun again by another.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, Literal

from pydantic import AwareDatetime, Field
from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.store.people_tables import TaskRow
from vouchbook.models.errors import ConflictError
from vouchbook.models.record import Record

LEASE = timedelta(seconds=60)
MOST_ATTEMPTS = 3
"""Begun three times and never ended: a fourth time would end like them. Our choice, no source."""

State = Literal["waiting", "running", "done", "failed"]


class Task(Record):
    """Work that was asked for. ``version`` goes up with each change; ``progress`` goes from 0 to 1.

    ``message`` says in a few words what is being done, or why it failed; ``result`` is there when it is done.
    """

    id: int
    kind: str
    person: int | None
    state: State
    attempts: int
    progress: float = Field(ge=0, le=1)
    message: str
    version: int
    created_at: AwareDatetime
    finished_at: AwareDatetime | None = None
    result: Mapping[str, Any] | None = None

    @property
    def is_over(self) -> bool:
        """Whether nothing will change any more, unless somebody asks for it again."""
        return self.state in ("done", "failed")


class Claimed(Record):
    """A task that this worker has, and nobody else, until its lease ends."""

    id: int
    kind: str
    person: int | None
    arguments: Mapping[str, Any]
    worker: str


def enqueue(work: Work, kind: str, arguments: Mapping[str, Any], key: str | None = None) -> Task:
    """Asks for work, on behalf of who acts, as part of a piece of work: it comes about with it or not at all.

    While a task with the same ``key`` waits or runs, it is given again. Workers look for tasks by themselves;
    ``Worker.announce`` of ``vouchbook.library.queue.workers`` wakes them sooner.
    """
    there = work.session.scalar(select(TaskRow).where(TaskRow.key == key)) if key is not None else None
    if there is not None:
        if not task_of(there).is_over:
            return task_of(there)
        there.key = None
        work.session.flush()  # before another has it
    row = TaskRow(kind=kind, arguments=dict(arguments), key=key, person_id=work.person, created_at=work.at)
    work.session.add(row)
    work.session.flush()
    return task_of(row)


def retry(work: Work, task_id: int) -> Task:
    """Lets a task that failed wait anew, by who asked for it or an administrator.

    Raises:
        NotFoundError, NotAllowedError: no such task, or it is somebody else's.
        ConflictError: it did not fail.
    """
    row = work.get(TaskRow, task_id, "task")
    if row.person_id != work.person:
        work.needs("administrator")
    if row.state != "failed":
        raise ConflictError(f"task {task_id}", f"it is {row.state}", "Only one that failed can be begun again")
    row.state, row.attempts, row.progress, row.message = "waiting", 0, 0.0, ""
    row.finished_at = row.claimed_by = row.claimed_until = None
    row.version += 1
    work.session.flush()
    return task_of(row)


def claim(work: Work, worker: str, task_id: int | None = None) -> Claimed | None:
    """The task of that number, or the oldest that can be begun, for ``worker``; None where there is none.

    A task that was begun too often fails here.
    """
    asked = select(TaskRow).where(TaskRow.state.in_(("waiting", "running"))).order_by(TaskRow.id)
    if task_id is not None:
        asked = asked.where(TaskRow.id == task_id)
    for row in work.session.scalars(asked):
        if not is_free(row, work.at):
            continue
        if row.attempts >= MOST_ATTEMPTS:
            _end(row, work.at, "failed", f"begun {row.attempts} times and never ended")
            continue
        row.state, row.claimed_by, row.claimed_until = "running", worker, work.at + LEASE
        row.attempts += 1
        row.version += 1
        return Claimed(id=row.id, kind=row.kind, person=row.person_id, arguments=row.arguments, worker=worker)
    return None


def is_free(row: TaskRow, at: datetime) -> bool:
    """Whether a task can be begun. A clock that went back does not keep one for longer than a lease."""
    if row.state == "waiting":
        return True
    return row.state == "running" and (
        row.claimed_until is None or row.claimed_until <= at or row.claimed_until > at + 2 * LEASE
    )


def hold(work: Work, claimed: Claimed, progress: float, message: str) -> bool:
    """Keeps the claim for another lease and tells how far it is; False where somebody else has the task by now."""
    row = _mine(work.session, claimed)
    if row is None:
        return False
    row.claimed_until = work.at + LEASE
    told = (round(min(max(progress, 0.0), 1.0), 4), message)
    if told != (row.progress, row.message):
        row.progress, row.message = told
        row.version += 1
    return True


def has(work: Work, claimed: Claimed) -> bool:
    """Whether the worker has the task still; while ``work`` lasts nobody else gets it."""
    return _mine(work.session, claimed) is not None


def finish(work: Work, claimed: Claimed, result: Mapping[str, Any]) -> bool:
    """Ends the task well, in the transaction that wrote what it was for; False where somebody else has it by now."""
    row = _mine(work.session, claimed)
    if row is None:
        return False
    _end(row, work.at, "done", "")
    row.progress, row.result = 1.0, dict(result)
    return True


def fail(work: Work, claimed: Claimed, why: str, *, may_try_again: bool = False) -> None:
    """Ends the task badly, or lets it wait once more where it may be tried again and was not too often."""
    row = _mine(work.session, claimed)
    if row is None:
        return
    if may_try_again and row.attempts < MOST_ATTEMPTS:
        row.state, row.message, row.claimed_by, row.claimed_until = "waiting", why, None, None
        row.version += 1
    else:
        _end(row, work.at, "failed", why)


def free_tasks(session: Session, at: datetime) -> tuple[int, ...]:
    """The numbers of all tasks that can be begun, the oldest first."""
    asked = select(TaskRow).where(TaskRow.state.in_(("waiting", "running"))).order_by(TaskRow.id)
    return tuple(row.id for row in session.scalars(asked) if is_free(row, at))


def task(session: Session, task_id: int) -> Task:
    """The task of that number.

    Raises:
        NotFoundError: there is none.
    """
    return task_of(found(session, TaskRow, task_id, "task"))


def tasks(session: Session, most: int = 50) -> tuple[Task, ...]:
    """The tasks that were asked for last, the newest first."""
    return tuple(task_of(row) for row in session.scalars(select(TaskRow).order_by(TaskRow.id.desc()).limit(most)))


def task_of(row: TaskRow) -> Task:
    """The record of a row."""
    fields = {name: getattr(row, name) for name in Task.model_fields if name != "person"}
    return Task.model_validate(fields | {"person": row.person_id})


def _mine(session: Session, claimed: Claimed) -> TaskRow | None:
    asked = select(TaskRow).where(TaskRow.id == claimed.id, TaskRow.state == "running")
    return session.scalar(asked.where(TaskRow.claimed_by == claimed.worker))


def _end(row: TaskRow, at: datetime, state: State, message: str) -> None:
    row.state, row.message, row.finished_at, row.claimed_by, row.claimed_until = state, message, at, None, None
    row.version += 1
