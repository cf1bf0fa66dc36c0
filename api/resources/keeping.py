"""Consent, legal holds, and how long media are kept."""

from typing import Annotated

from fastapi import APIRouter, Query, Response
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.versions import Number, SeenTag, check_same, told
from vouchbook.library.actor import found, needs
from vouchbook.library.keeping.consent import Standing, Withdrawal, consents_of, give, withdraw
from vouchbook.library.keeping.holds import Hold, free_to_go, hold_of, holds, lift_hold, place_hold
from vouchbook.library.keeping.removal import KEEPERS, Gone
from vouchbook.library.keeping.retention import Due, Retention, due, let_go, retention, set_retention
from vouchbook.library.store.tables import HoldRow, VisitRow
from vouchbook.models.decisions import Text as Reason
from vouchbook.models.record import Record
from vouchbook.models.visits import Covers, Text

router = APIRouter(tags=["keeping"], route_class=Route)

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Note = Annotated[Text, Field(max_length=1000)]


class GivenConsent(Record):
    """What somebody agreed to; ``note`` says how, as "signed sheet 12"."""

    covers: frozenset[Covers] = Field(min_length=1)
    note: Note = ""


class WithdrawnConsent(GivenConsent):
    """What somebody no longer agrees to. ``removes`` asks for removal for good; otherwise media are hidden."""

    removes: bool


class WantedHold(Record):
    """Why nothing of a visit may go: who asked for it, or for which case."""

    reason: Annotated[Reason, Field(max_length=1000)]


class LiftedHold(Record):
    """A hold that was lifted. ``free`` are media that a withdrawn consent wanted removed and that may go now."""

    hold: Hold
    free: tuple[str, ...]


class ToGo(Record):
    """Media that somebody looked at, and that may go now: due by the rules, or free since a hold ended."""

    due: tuple[Due, ...]
    free: tuple[str, ...]


class Chosen(Record):
    """The media to let go, by their hashes."""

    media: frozenset[Sha256] = Field(min_length=1, max_length=10_000)


@router.get("/visits/{visit_id}/consents", summary="See who agreed to what", responses=problems(404))
def get_consents(visit_id: Number, _who: Who, library: LibraryOf) -> tuple[Standing, ...]:
    """Where each participant of a visit stands, with the whole history."""
    with library.reading() as session:
        found(session, VisitRow, visit_id, "visit")
        return consents_of(session, visit_id)


@router.post(
    "/participants/{participant_id}/consents", summary="Record a consent", status_code=201, responses=problems(404)
)
def post_consent(participant_id: Number, given: GivenConsent, who: Who, library: LibraryOf) -> Standing:
    """By an officer, archivist or administrator. What was hidden stays hidden until somebody shows it again."""
    with library.work(who.actor) as work:
        return give(work, participant_id, given.covers, given.note)


@router.post(
    "/participants/{participant_id}/withdrawals",
    summary="Record that a consent is withdrawn",
    status_code=201,
    responses=problems(404),
)
def post_consent_withdrawal(
    participant_id: Number, withdrawn: WithdrawnConsent, who: Who, library: LibraryOf
) -> Withdrawal:
    """Takes what shows them out of sight, or out of the library; tells what went, and what stays and why."""
    return withdraw(library, who.actor, participant_id, withdrawn.covers, withdrawn.note, removes=withdrawn.removes)


@router.get("/holds", summary="List legal holds", responses=problems(404))
def get_holds(
    who: Who,
    library: LibraryOf,
    visit_id: Annotated[int | None, Query(ge=1, le=2**63 - 1)] = None,
    is_standing: Annotated[bool, Query(description="Only those that were not lifted.")] = False,  # noqa: FBT002
) -> tuple[Hold, ...]:
    """All, or those of one visit, the oldest first. By an archivist or administrator: reasons may name people."""
    needs(who.actor, *KEEPERS)
    with library.reading() as session:
        return holds(session, visit_id=visit_id, also_lifted=not is_standing)


@router.post("/visits/{visit_id}/holds", summary="Place a legal hold", status_code=201, responses=problems(404))
def post_hold(visit_id: Number, wanted: WantedHold, who: Who, library: LibraryOf) -> Hold:
    """Nothing of the visit goes while it stands. By an archivist or administrator."""
    with library.work(who.actor) as work:
        return hold_of(work.get(HoldRow, place_hold(work, visit_id, wanted.reason), "hold"))


@router.post("/holds/{hold_id}/lift", summary="Lift a legal hold", responses=problems(404, 409))
def post_lift(hold_id: Number, who: Who, library: LibraryOf) -> LiftedHold:
    """By an archivist or administrator. Nothing goes by that alone: what is free now is told, to let it go."""
    with library.work(who.actor) as work:
        free = lift_hold(work, hold_id)
        return LiftedHold(hold=hold_of(work.get(HoldRow, hold_id, "hold")), free=free)


@router.get("/retention", summary="Read how long media are kept", responses=problems())
def get_retention(_who: Who, library: LibraryOf, response: Response) -> Retention:
    """Months by what they are to a visit, with the ETag that a change names."""
    with library.reading() as session:
        return told(response, retention(session))


@router.put("/retention", summary="Set how long media are kept", responses=problems(412, 428))
def put_retention(wanted: Retention, who: Who, seen: SeenTag, library: LibraryOf, response: Response) -> Retention:
    """All of it, by an administrator. Nothing goes by that alone."""
    with library.work(who.actor) as work:
        work.needs("administrator")
        check_same("retention", seen, retention(work.session))
        set_retention(work, wanted)
        return told(response, retention(work.session))


@router.get("/retention/due", summary="List what may go", responses=problems())
def get_retention_due(_who: Who, library: LibraryOf) -> ToGo:
    """What the rules let go by today, also what something still keeps; and what waited for the end of a hold."""
    with library.reading() as session:
        return ToGo(due=due(session, library.clock().date()), free=free_to_go(session))


@router.post("/retention/removal", summary="Let media go", responses=problems(404, 409))
def post_removal(chosen: Chosen, who: Who, library: LibraryOf) -> tuple[Gone, ...]:
    """Removes the chosen ones for good, by an archivist or administrator; one that may not go keeps them all."""
    return let_go(library, who.actor, chosen.media)
