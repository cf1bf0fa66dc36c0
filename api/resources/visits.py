"""Visits: what was recorded where, by whom and with whom; their files, their talk, and what people listened to."""

import json
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Body, Query, Request, Response
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.resources.tasks import announced
from vouchbook.api.settings import PREFIX
from vouchbook.api.versions import Number
from vouchbook.library.actor import found
from vouchbook.library.queue.kinds import LISTEN, Listening
from vouchbook.library.queue.tasks import Task, enqueue
from vouchbook.library.review.plays import Played, report
from vouchbook.library.store.tables import VisitRow
from vouchbook.library.visits.drafts import Added, add_draft
from vouchbook.library.visits.listing import MOST, ListedVisit, Sentence, WholeVisit, said_on, visits, whole_visit
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.draft import draft_from_json
from vouchbook.models.errors import SettingError
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Participant, Text, Visit

router = APIRouter(prefix="/visits", tags=["visits"], route_class=Route)


class NewVisit(Record):
    """A visit to add. ``key`` is its name everywhere; without one it gets a new one, and is another visit next time."""

    key: str | None = Field(default=None, pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")
    subject: Subject
    place: Annotated[Text, Field(max_length=200)] = ""
    held_on: date
    recorded_by: int | None = Field(default=None, ge=1, le=2**63 - 1)
    note: Annotated[Text, Field(max_length=4000)] = ""
    participants: Annotated[tuple[Participant, ...], Field(max_length=100)] = ()


class HowToListen(Record):
    """How the recordings are to be heard: ``voices`` is the number of people who speak, where somebody knows it."""

    model: str = Field(default="base", pattern=r"^[a-z0-9.]{1,20}$")
    voices: int | None = Field(default=None, ge=1, le=8)


class Kept(Record):
    """How many ranges were kept."""

    kept: int


@router.get("", summary="List visits", responses=problems())
def get_visits(
    _who: Who,
    library: LibraryOf,
    before: Annotated[int | None, Query(ge=1, le=2**63 - 1, description="Only those with a lower number.")] = None,
    most: Annotated[int, Query(ge=1, le=MOST)] = 50,
) -> tuple[ListedVisit, ...]:
    """The newest first; the number of the last one, as ``before``, gives the next page."""
    with library.reading() as session:
        return visits(session, before=before, most=most)


@router.post("", summary="Add a visit", status_code=201, responses=problems(404, 409))
def post_visit(wanted: NewVisit, who: Who, library: LibraryOf, response: Response) -> WholeVisit:
    """Adds a visit, by an officer or archivist. The same again, with its key, changes nothing."""
    visit = _visit(wanted)
    with library.work(who.actor) as work:
        visit_id = add_visit(work, visit)
        response.headers["location"] = f"{PREFIX}/visits/{visit_id}"
        return whole_visit(work.session, visit_id)


@router.get("/{visit_id}", summary="Look at a visit", responses=problems(404))
def get_visit(visit_id: Number, _who: Who, library: LibraryOf) -> WholeVisit:
    """A visit with its files and drafts."""
    with library.reading() as session:
        return whole_visit(session, visit_id)


@router.get("/{visit_id}/sentences", summary="Read what was said on a visit", responses=problems(404))
def get_sentences(visit_id: Number, _who: Who, library: LibraryOf) -> tuple[Sentence, ...]:
    """Every line of talk with the seconds at which to play it."""
    with library.reading() as session:
        return said_on(session, visit_id)


@router.post("/{visit_id}/drafts", summary="Bring a draft", status_code=201, responses=problems(404, 409))
def post_draft(visit_id: Number, document: dict[str, Any], who: Who, library: LibraryOf) -> Added:
    """A draft as ``vouchbook draft`` writes it, by an officer. The same again changes nothing."""
    draft = draft_from_json(json.dumps(document), "draft")
    with library.work(who.actor) as work:
        return add_draft(work, visit_id, draft)


@router.post("/{visit_id}/plays", summary="Report what was listened to", status_code=201, responses=problems(404, 409))
def post_plays(
    visit_id: Number, played: Annotated[list[Played], Body(max_length=1000)], who: Who, library: LibraryOf
) -> Kept:
    """Ranges of the visit's recordings that the person has just heard: some confirmations need them."""
    with library.work(who.actor) as work:
        return Kept(kept=report(work, visit_id, played))


@router.post(
    "/{visit_id}/listening", summary="Have a visit heard and drafted", status_code=202, responses=problems(404)
)
def post_listening(visit_id: Number, wanted: HowToListen, who: Who, request: Request, library: LibraryOf) -> Task:
    """Hears the recordings, or reads the captions, in the background; gives the task, or the one under way."""
    arguments = Listening(visit_id=visit_id, model=wanted.model, voices=wanted.voices)
    with library.work(who.actor) as work:
        work.needs("officer")
        found(work.session, VisitRow, visit_id, "visit")
        return announced(
            request, work, enqueue(work, LISTEN, arguments.model_dump(mode="json"), key=f"{LISTEN} {visit_id}")
        )


def _visit(wanted: NewVisit) -> Visit:
    try:
        return Visit.model_validate(wanted.model_dump() | {"key": wanted.key or new_key()})
    except ValueError as error:
        raise SettingError(f"visit: {str(error).splitlines()[2].strip()}. Correct it.") from error
