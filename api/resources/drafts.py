"""Drafts on the table: their items and questions, what is still open, what the library knows against them."""

from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import StreamingResponse
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.events import MEDIA_TYPE, EventOf, LastEventId, Moment, events
from vouchbook.api.reading import Route
from vouchbook.api.settings import PREFIX
from vouchbook.api.versions import Number, tagged
from vouchbook.library.actor import found
from vouchbook.library.editions.content import StillOpen
from vouchbook.library.editions.publish import Published, open_points, publish
from vouchbook.library.known.compare import Finding
from vouchbook.library.known.stored import findings
from vouchbook.library.review.by_hand import HandItem, add_by_hand, borrow
from vouchbook.library.review.cases import DraftItem, draft_items
from vouchbook.library.review.figures import Counts, counts
from vouchbook.library.review.settle import DraftQuestion, draft_questions
from vouchbook.library.store.tables import DraftRow
from vouchbook.library.visits.drafts import draft_of, set_aside
from vouchbook.library.visits.listing import ListedDraft, listed_draft
from vouchbook.library.visits.stills import VisitStill, stills_for
from vouchbook.models.decisions import Text
from vouchbook.models.editions import Bonds
from vouchbook.models.record import Record

router = APIRouter(prefix="/drafts", tags=["drafts"], route_class=Route)


class Loan(Record):
    """An item of another edition to put on the table; ``bonds`` and ``after`` as for an item by hand."""

    edition_id: int = Field(ge=1, le=2**63 - 1)
    key: str = Field(pattern=r"^i[0-9]{1,18}$")
    bonds: Bonds | None = None
    after: str | None = None


class Why(Record):
    """A reason, in words."""

    reason: Text


class WantedEdition(Record):
    """What to publish. ``lets_go`` names the warnings of the edition before that this one knowingly has no more."""

    lets_go: frozenset[str] = frozenset()


@router.get("/{draft_id}", summary="Look at a draft", responses=problems(404))
def get_draft(draft_id: Number, _who: Who, library: LibraryOf) -> ListedDraft:
    """Which visit it is of, and whether people still decide on it."""
    with library.reading() as session:
        return listed_draft(session, draft_id)


@router.get("/{draft_id}/document", summary="Read a draft as it was taken in", responses=problems(404))
def get_document(draft_id: Number, _who: Who, library: LibraryOf) -> dict[str, Any]:
    """The whole document with its transcript, every quote checked against it (schema: ``draft.schema.json``)."""
    with library.reading() as session:
        document: dict[str, Any] = draft_of(session, draft_id).model_dump(mode="json")
        return document


@router.get("/{draft_id}/items", summary="Read the items of a draft", responses=problems(404))
def get_items(draft_id: Number, _who: Who, library: LibraryOf) -> tuple[DraftItem, ...]:
    """All items in the order of the procedure, with the decisions on them and their versions."""
    with library.reading() as session:
        return draft_items(session, draft_id)


@router.post("/{draft_id}/items", summary="Add an item by hand", status_code=201, responses=problems(404, 409))
def post_item(draft_id: Number, item: HandItem, who: Who, library: LibraryOf, response: Response) -> DraftItem:
    """On words that are marked in the talk, or from a source that is named. Two people then decide on it."""
    with library.work(who.actor) as work:
        added = add_by_hand(work, draft_id, item)
    return _added(response, added)


@router.post("/{draft_id}/loans", summary="Borrow an item of an edition", status_code=201, responses=problems(404, 409))
def post_loan(draft_id: Number, loan: Loan, who: Who, library: LibraryOf, response: Response) -> DraftItem:
    """Puts it on the table with the other visit's words; two people then decide on it."""
    with library.work(who.actor) as work:
        added = borrow(work, draft_id, loan.edition_id, loan.key, loan.bonds, loan.after)
    return _added(response, added)


@router.get("/{draft_id}/questions", summary="Read the questions of a draft", responses=problems(404))
def get_questions(draft_id: Number, _who: Who, library: LibraryOf) -> tuple[DraftQuestion, ...]:
    """What the talk left open, and what became of it."""
    with library.reading() as session:
        found(session, DraftRow, draft_id, "draft")
        return draft_questions(session, draft_id)


@router.get("/{draft_id}/stills", summary="List the stills of the visit of a draft", responses=problems(404))
def get_stills(draft_id: Number, who: Who, library: LibraryOf) -> tuple[VisitStill, ...]:
    """The pictures that a question may be answered from, with the second that each shows and what it was made for.

    What is hidden is for those who keep the library; what was removed is for nobody.
    """
    with library.reading() as session:
        return stills_for(session, draft_id, who.actor.roles)


@router.get("/{draft_id}/counts", summary="Count how far a draft is", responses=problems(404))
def get_counts(draft_id: Number, _who: Who, library: LibraryOf) -> Counts:
    """How many items and questions stand where."""
    with library.reading() as session:
        return counts(session, draft_id)


@router.get(
    "/{draft_id}/events",
    summary="Follow a draft",
    response_class=StreamingResponse,
    responses={**problems(404), 200: {"description": "Server-sent events.", "content": {MEDIA_TYPE: {}}}},
)
def get_draft_events(
    draft_id: Number, _who: Who, request: Request, library: LibraryOf, last: LastEventId = None
) -> StreamingResponse:
    """An event ``counts`` whenever somebody changed something on the table, for those who work on it together."""

    def now() -> Moment:
        with library.reading() as session:
            told = counts(session, draft_id)
        return Moment(EventOf(told.changes + 1, "counts", told))  # a draft without items has no changes

    return events(request, now, last)


@router.get("/{draft_id}/open-points", summary="See what stands before publication", responses=problems(404))
def get_open_points(draft_id: Number, _who: Who, library: LibraryOf) -> tuple[StillOpen, ...]:
    """What is not decided or settled; empty when it can be published."""
    with library.reading() as session:
        return open_points(session, draft_id)


@router.get("/{draft_id}/findings", summary="Compare a draft with what is known", responses=problems(404))
def get_findings(draft_id: Number, _who: Who, library: LibraryOf) -> tuple[Finding, ...]:
    """What contradicts the editions of the same and related subjects, and what they know that is not in it."""
    with library.reading() as session:
        return findings(session, draft_id)


@router.post("/{draft_id}/edition", summary="Publish a draft", status_code=201, responses=problems(404, 409))
def post_edition(
    draft_id: Number, wanted: WantedEdition, who: Who, library: LibraryOf, response: Response
) -> Published:
    """The next edition of its subject, by an archivist. From then on neither changes."""
    with library.work(who.actor) as work:
        made = publish(work, draft_id, wanted.lets_go)
    response.headers["location"] = f"{PREFIX}/editions/{made.edition_id}"
    return made


@router.post("/{draft_id}/set-aside", summary="Set a draft aside", responses=problems(404, 409))
def post_set_aside(draft_id: Number, why: Why, who: Who, library: LibraryOf) -> ListedDraft:
    """Takes it from the table, by an officer or administrator. What was said can still be found."""
    with library.work(who.actor) as work:
        set_aside(work, draft_id, why.reason)
        return listed_draft(work.session, draft_id)


def _added(response: Response, item: DraftItem) -> DraftItem:
    response.headers["location"] = f"{PREFIX}/items/{item.item_id}"
    tagged(response, item.version)
    return item
