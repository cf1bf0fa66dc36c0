"""Background work: what was asked for, how far it is, and its progress as server-sent events."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import StreamingResponse

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.events import MEDIA_TYPE, EventOf, LastEventId, Moment, events
from vouchbook.api.reading import Route
from vouchbook.api.resources.audit import KeptHeads
from vouchbook.api.versions import Number
from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import Head
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.queue.keeping import CHECK, Checking
from vouchbook.library.queue.kinds import INDEX
from vouchbook.library.queue.tasks import Task, enqueue, retry, task, tasks
from vouchbook.library.queue.workers import Worker

router = APIRouter(prefix="/tasks", tags=["tasks"], route_class=Route)


def announced(request: Request, work: Work, asked: Task) -> Task:
    """The task, told to the worker of this server, if it has one."""
    worker: Worker | None = request.app.state.worker
    if worker is not None and not asked.is_over:
        worker.announce(work, asked.id)
    return asked


@router.get("", summary="List background work", responses=problems())
def get_tasks(_who: Who, library: LibraryOf, most: Annotated[int, Query(ge=1, le=200)] = 50) -> tuple[Task, ...]:
    """What was asked for last, the newest first."""
    with library.reading() as session:
        return tasks(session, most)


@router.post("/index", summary="Make the index of all sentences anew", status_code=202, responses=problems())
def post_index(who: Who, request: Request, library: LibraryOf) -> Task:
    """By an archivist or administrator; one that is under way is given again. Others wait with changes meanwhile."""
    with library.work(who.actor) as work:
        work.needs("archivist", "administrator")
        return announced(request, work, enqueue(work, INDEX, {}, key=INDEX))


@router.post("/check", summary="Check everything that the library keeps", status_code=202, responses=problems())
def post_check(kept: KeptHeads, who: Who, request: Request, library: LibraryOf) -> Task:
    """Reads every medium to its end, and all else, also against heads of the journal. By who keeps the library."""
    wanted = Checking(heads=tuple(Head.read(line) for line in kept.heads))
    with library.work(who.actor) as work:
        work.needs(*KEEPERS)
        return announced(request, work, enqueue(work, CHECK, wanted.model_dump(mode="json")))


@router.get("/{task_id}", summary="Look at a task", responses=problems(404))
def get_task(task_id: Number, _who: Who, library: LibraryOf) -> Task:
    """How far it is, what came of it, or why it failed."""
    with library.reading() as session:
        return task(session, task_id)


@router.post("/{task_id}/retry", summary="Begin a failed task again", status_code=202, responses=problems(404, 409))
def post_retry(task_id: Number, who: Who, request: Request, library: LibraryOf) -> Task:
    """By who asked for it, or an administrator."""
    with library.work(who.actor) as work:
        return announced(request, work, retry(work, task_id))


@router.get(
    "/{task_id}/events",
    summary="Follow a task",
    response_class=StreamingResponse,
    responses={**problems(404), 200: {"description": "Server-sent events.", "content": {MEDIA_TYPE: {}}}},
)
def get_task_events(
    task_id: Number, _who: Who, request: Request, library: LibraryOf, last: LastEventId = None
) -> StreamingResponse:
    """Events ``progress``, then ``done`` or ``failed``, each with the task as data and its version as id."""

    def now() -> Moment:
        with library.reading() as session:
            found = task(session, task_id)
        name = found.state if found.is_over else "progress"
        return Moment(EventOf(found.version, name, found), is_last=found.is_over)

    return events(request, now, last)
