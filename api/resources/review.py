"""Deciding: items and questions one by one. A change names the version that was seen; who was slower gets 412."""

from typing import Annotated

from fastapi import APIRouter, Query, Response

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.versions import Number, Seen, tagged
from vouchbook.library.actor import found
from vouchbook.library.known.borrowed import Candidate
from vouchbook.library.known.stored import borrow_candidates
from vouchbook.library.review.by_hand import take_out
from vouchbook.library.review.cases import Drafted, DraftItem
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.settle import DraftQuestion, draft_question, settle, unsettle
from vouchbook.library.store.tables import ItemRow
from vouchbook.models.decisions import Answer, Judgement

router = APIRouter(tags=["review"], route_class=Route)
_CHANGES = (404, 409, 412, 428)


@router.get("/items/{item_id}", summary="Look at an item", responses=problems(404))
def get_item(item_id: Number, _who: Who, library: LibraryOf, response: Response) -> DraftItem:
    """An item as it stands, with its version as ETag."""
    with library.reading() as session:
        row = found(session, ItemRow, item_id, "item")
        item = Drafted(session, row.draft_id).item(row)
    tagged(response, item.version)
    return item


@router.delete("/items/{item_id}", summary="Take out an item", status_code=204, responses=problems(*_CHANGES))
def delete_item(item_id: Number, who: Who, seen: Seen, library: LibraryOf) -> None:
    """One that was added by hand or borrowed, while no decision on it stands; by whoever added it or an administrator.

    What was read in the talk is rejected instead.
    """
    with library.work(who.actor) as work:
        take_out(work, item_id, seen)


@router.post("/items/{item_id}/decisions", summary="Decide on an item", status_code=201, responses=problems(*_CHANGES))
def post_decision(
    item_id: Number, who: Who, judgement: Judgement, seen: Seen, library: LibraryOf, response: Response
) -> DraftItem:
    """Confirms, rejects or amends, by a reviewer; gives the item as it is then."""
    with library.work(who.actor) as work:
        item = decide(work, item_id, seen, judgement)
    tagged(response, item.version)
    return item


@router.delete("/items/{item_id}/decisions/last", summary="Take a decision back", responses=problems(*_CHANGES))
def delete_decision(
    item_id: Number,
    who: Who,
    seen: Seen,
    library: LibraryOf,
    response: Response,
    whose: Annotated[
        int | None, Query(ge=1, le=2**63 - 1, description="A person's number, for administrators.")
    ] = None,
) -> DraftItem:
    """Takes back one's own last decision that stands on it; it stays on the record."""
    with library.work(who.actor) as work:
        item = undo(work, item_id, seen, whose)
    tagged(response, item.version)
    return item


@router.get("/questions/{question_id}", summary="Look at a question", responses=problems(404))
def get_question(question_id: Number, _who: Who, library: LibraryOf, response: Response) -> DraftQuestion:
    """A question and what became of it, with its version as ETag."""
    with library.reading() as session:
        question = draft_question(session, question_id)
    tagged(response, question.version)
    return question


@router.put("/questions/{question_id}/settlement", summary="Settle a question", responses=problems(*_CHANGES))
def put_settlement(
    question_id: Number, who: Who, settled: Answer, seen: Seen, library: LibraryOf, response: Response
) -> DraftQuestion:
    """Answered, also from the picture; carried to the next visit; or not needed."""
    with library.work(who.actor) as work:
        question = settle(work, question_id, seen, settled)
    tagged(response, question.version)
    return question


@router.delete("/questions/{question_id}/settlement", summary="Open a question again", responses=problems(*_CHANGES))
def delete_settlement(
    question_id: Number, who: Who, seen: Seen, library: LibraryOf, response: Response
) -> DraftQuestion:
    """Takes a settlement back; it stays on the record."""
    with library.work(who.actor) as work:
        question = unsettle(work, question_id, seen)
    tagged(response, question.version)
    return question


@router.get(
    "/questions/{question_id}/candidates", summary='See what "same as the last one" may mean', responses=problems(404)
)
def get_candidates(question_id: Number, _who: Who, library: LibraryOf) -> tuple[Candidate, ...]:
    """What other editions say about what this talk left to them; it enters only as a loan that people decide on."""
    with library.reading() as session:
        return borrow_candidates(session, question_id)
