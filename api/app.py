"""The application: a library, served over HTTP."""

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from importlib.metadata import version
from pathlib import Path

from fastapi import FastAPI
from fastapi.concurrency import run_in_threadpool

from vouchbook.api.documented import DOCUMENT_URL, document, unique_id
from vouchbook.api.gate import Gate
from vouchbook.api.problems import add_handlers
from vouchbook.api.resources import (
    audit,
    drafts,
    editions,
    exports,
    figures,
    keeping,
    media,
    participants,
    people,
    review,
    search,
    sign_in,
    tasks,
    uploads,
    visits,
)
from vouchbook.api.settings import PREFIX, ServerSettings
from vouchbook.api.tries import Tries
from vouchbook.library.open import Library
from vouchbook.library.queue.keeping import sweep_exports
from vouchbook.library.queue.workers import Worker
from vouchbook.library.uploads.uploads import drop_expired
from vouchbook.models.errors import StoreError
from vouchbook.models.people import THE_LIBRARY

RESOURCES = (
    sign_in, people, visits, participants, drafts, review, editions, media, keeping, uploads, exports, search, audit,
    figures, tasks,
)  # fmt: skip
_TIDIES_EVERY_S = 3600.0
_LOG = logging.getLogger(__name__)


def make_app(library: Library, settings: ServerSettings | None = None, worker: Worker | None = None) -> FastAPI:
    """The application that serves ``library``, which stays open for as long as it runs.

    ``worker`` does the background work and is started and stopped with the application; without one, tasks wait for
    another server.
    """
    settings = settings or ServerSettings()
    app = FastAPI(
        title="Vouchbook",
        version=version("vouchbook"),
        openapi_url=DOCUMENT_URL,
        docs_url=None,  # those pages fetch scripts from elsewhere
        redoc_url=None,
        lifespan=_lifespan,
        generate_unique_id_function=unique_id,
    )
    app.state.library, app.state.settings, app.state.worker = library, settings, worker
    app.state.tries, app.state.is_closing = Tries(settings), False
    for resource in RESOURCES:
        app.include_router(resource.router, prefix=PREFIX)
    add_handlers(app)
    app.add_middleware(Gate, settings=settings)
    app.openapi = lambda: document(app)  # type: ignore[method-assign]  # FastAPI's own way of changing it
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    over = asyncio.Event()
    tidying = asyncio.create_task(_tidy_often(app.state.library, app.state.settings.exports, over))
    if app.state.worker is not None:
        app.state.worker.start()
    try:
        yield
    finally:
        app.state.is_closing = True
        over.set()
        await tidying  # it may be at work in the library, which closes after this
        if app.state.worker is not None:
            await run_in_threadpool(app.state.worker.stop)


async def _tidy_often(library: Library, exports: Path | None, over: asyncio.Event) -> None:
    while not over.is_set():
        try:
            await run_in_threadpool(_tidy, library, exports)
        except StoreError as error:
            _LOG.warning("not tidied: %s", error)
        with suppress(TimeoutError):
            await asyncio.wait_for(over.wait(), _TIDIES_EVERY_S)


def _tidy(library: Library, exports: Path | None) -> None:
    drop_expired(library, THE_LIBRARY)
    library.media.sweep()
    if exports is not None:
        sweep_exports(exports)
