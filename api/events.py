"""Server-sent events (text/event-stream, WHATWG HTML) of something that has a number which goes up with each change."""

import asyncio
from collections.abc import AsyncIterator, Callable
from time import monotonic
from typing import Annotated, NamedTuple

from fastapi import Header, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import StreamingResponse

from vouchbook.models.errors import VouchbookError
from vouchbook.models.record import Record

MEDIA_TYPE = "text/event-stream"
_LOOKS_EVERY_S = 0.5
_STILL_HERE_EVERY_S = 15.0
_LONGEST_S = 600.0
"""Then the client comes back with the number of the last event, and who it is is looked at anew."""

LastEventId = Annotated[str | None, Header(alias="Last-Event-ID", description="The id of the last event that came.")]


class EventOf(NamedTuple):
    """One event: its number, its name, and the record that it tells."""

    number: int
    name: str
    told: Record


class Moment(NamedTuple):
    """How it stands now, and whether nothing will follow."""

    event: EventOf
    is_last: bool = False


def events(request: Request, now: Callable[[], Moment], last: str | None) -> StreamingResponse:
    """The changes since the event ``last``, as they come about; what changed twice between two looks is told once.

    Raises:
        VouchbookError: what ``now`` raises at the first look.
    """
    first = now()
    seen = int(last) if last is not None and last.isascii() and last.isdigit() and len(last) < 19 else 0
    stream = _stream(request, first, now, seen)
    return StreamingResponse(stream, media_type=MEDIA_TYPE, headers={"x-accel-buffering": "no"})


async def _stream(request: Request, first: Moment, now: Callable[[], Moment], seen: int) -> AsyncIterator[bytes]:
    begun = spoke = monotonic()
    moment = first
    yield b"retry: 2000\n\n"
    while True:
        if moment.event.number > seen:
            yield _written(moment.event)
            seen, spoke = moment.event.number, monotonic()
        if moment.is_last or request.app.state.is_closing or monotonic() - begun > _LONGEST_S:
            return
        if monotonic() - spoke > _STILL_HERE_EVERY_S:
            yield b": still here\n\n"
            spoke = monotonic()
        await asyncio.sleep(_LOOKS_EVERY_S)
        try:
            moment = await run_in_threadpool(now)
        except VouchbookError:  # busy or gone for now: the client comes back and is told then
            return


def _written(event: EventOf) -> bytes:
    """As the standard writes it; JSON has no line ends in it."""
    return f"id: {event.number}\nevent: {event.name}\ndata: {event.told.model_dump_json()}\n\n".encode()
