"""Editions: what was published, which are in force, which are due."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.resources.drafts import Why
from vouchbook.api.versions import Number, is_known
from vouchbook.library.editions.difference import Difference, difference
from vouchbook.library.editions.due import Due, due
from vouchbook.library.editions.shelf import Shelved, edition_of, shelf, shelved
from vouchbook.library.editions.verifications import Verification
from vouchbook.library.editions.verify import take_back, verify_again
from vouchbook.library.editions.withdraw import Withdrawn, withdraw
from vouchbook.models.decisions import Text
from vouchbook.models.editions import Edition
from vouchbook.models.record import Record

router = APIRouter(prefix="/editions", tags=["editions"], route_class=Route)


class Checked(Record):
    """By what somebody saw that an edition is still right: "looked at the machine at the depot"."""

    how: Text


@router.get("", summary="List editions", responses=problems())
def get_editions(
    _who: Who, library: LibraryOf, subject_id: Annotated[int | None, Query(ge=1, le=2**63 - 1)] = None
) -> tuple[Shelved, ...]:
    """All, or those of one subject, the newest first; what was withdrawn is among them, marked."""
    with library.reading() as session:
        return shelf(session, subject_id)


@router.get("/due", summary="List what is due to be verified again", responses=problems())
def get_due(_who: Who, library: LibraryOf, within_days: Annotated[int, Query(ge=0, le=3660)] = 0) -> tuple[Due, ...]:
    """The editions in force whose day has come, or comes within so many days; the longest due first."""
    today: date = library.clock().date()
    with library.reading() as session:
        return due(session, today, within_days)


@router.get(
    "/{edition_id}",
    summary="Read an edition",
    response_model=Edition,
    responses={**problems(404), 304: {"description": "The client has it already."}},
)
def get_edition(edition_id: Number, _who: Who, library: LibraryOf, request: Request, response: Response) -> object:
    """What it says, which never changes; its ETag is the hash of that."""
    with library.reading() as session:
        etag = f'"{shelved(session, edition_id).content_sha256}"'
        edition = edition_of(session, edition_id)
    if is_known(request, etag):
        return Response(status_code=304, headers={"etag": etag})
    response.headers["etag"] = etag
    return edition


@router.get("/{edition_id}/state", summary="See whether an edition is in force", responses=problems(404))
def get_state(edition_id: Number, _who: Who, library: LibraryOf) -> Shelved:
    """The edition as it is listed: in force, replaced, or withdrawn with the reason."""
    with library.reading() as session:
        return shelved(session, edition_id)


@router.get("/{edition_id}/difference/{other_id}", summary="Compare two editions", responses=problems(404))
def get_difference(edition_id: Number, other_id: Number, _who: Who, library: LibraryOf) -> Difference:
    """What the edition changes of the other one: items matched, not just text."""
    with library.reading() as session:
        return difference(edition_of(session, other_id).items, edition_of(session, edition_id).items)


@router.post("/{edition_id}/withdrawal", summary="Withdraw an edition", responses=problems(404, 409))
def post_withdrawal(edition_id: Number, why: Why, who: Who, library: LibraryOf) -> Withdrawn:
    """By an archivist, with the reason. It stays findable, marked."""
    with library.work(who.actor) as work:
        return withdraw(work, edition_id, why.reason)


@router.get("/{edition_id}/verifications", summary="See who verified an edition again", responses=problems(404))
def get_edition_verifications(edition_id: Number, _who: Who, library: LibraryOf) -> tuple[Verification, ...]:
    """In the order in which they were made; what was taken back is among them, marked, with the reason."""
    with library.reading() as session:
        return shelved(session, edition_id).verified


@router.post(
    "/{edition_id}/verifications",
    summary="Say that an edition is still right",
    status_code=201,
    responses=problems(404, 409),
)
def post_edition_verification(edition_id: Number, checked: Checked, who: Who, library: LibraryOf) -> Shelved:
    """By a reviewer or archivist who is not the one who published, recorded or drafted it. It is due later then."""
    with library.work(who.actor) as work:
        return verify_again(work, edition_id, checked.how)


@router.post(
    "/{edition_id}/verifications/{verification_id}/withdrawal",
    summary="Take a verification back",
    responses=problems(404, 409),
)
def post_edition_verification_withdrawal(
    edition_id: Number, verification_id: Number, why: Why, who: Who, library: LibraryOf
) -> Shelved:
    """The newest alone, by who made it or an administrator, with the reason. It stays on the record."""
    with library.work(who.actor) as work:
        return take_back(work, edition_id, why.reason, verification_id)
