"""Who took part in a visit: named when it is added or afterwards, and put right where a name was misspelt."""

from fastapi import APIRouter, Response

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.settings import PREFIX
from vouchbook.api.versions import Number, SeenTag, check_same, tag_of
from vouchbook.library.keeping.consent import Standing, consent_of
from vouchbook.library.visits.participants import add_participant, correct_participant
from vouchbook.models.record import Record
from vouchbook.models.visits import Participant

router = APIRouter(tags=["visits"], route_class=Route)


class _State(Record):
    """What a correction is made against: how somebody is written down, and how often they said what they agree to."""

    participant: Participant
    said: int


@router.post(
    "/visits/{visit_id}/participants", summary="Name somebody who took part", status_code=201,
    responses=problems(404, 409),
)  # fmt: skip
def post_participant(
    visit_id: Number, wanted: Participant, who: Who, library: LibraryOf, response: Response
) -> Standing:
    """By an officer, archivist or administrator. The same again changes nothing."""
    with library.work(who.actor) as work:
        number = add_participant(work, visit_id, wanted)
        response.headers["location"] = f"{PREFIX}/participants/{number}"
        return _told(response, consent_of(work.session, number))


@router.get("/participants/{participant_id}", summary="Look at somebody who took part", responses=problems(404))
def get_participant(participant_id: Number, _who: Who, library: LibraryOf, response: Response) -> Standing:
    """How they are written down and where they stand, with the ETag that a correction names."""
    with library.reading() as session:
        return _told(response, consent_of(session, participant_id))


@router.put("/participants/{participant_id}", summary="Correct who took part", responses=problems(404, 409, 412, 428))
def put_participant(
    participant_id: Number, wanted: Participant, who: Who, seen: SeenTag, library: LibraryOf, response: Response
) -> Standing:
    """Name, part and voice, by an officer, archivist or administrator. A withdrawn name does not come back by it."""
    with library.work(who.actor) as work:
        check_same(f"participant {participant_id}", seen, _state(consent_of(work.session, participant_id)))
        correct_participant(work, participant_id, wanted)
        return _told(response, consent_of(work.session, participant_id))


def _state(standing: Standing) -> _State:
    return _State(participant=standing.participant, said=len(standing.history))


def _told(response: Response, standing: Standing) -> Standing:
    response.headers["etag"] = tag_of(_state(standing))
    return standing
