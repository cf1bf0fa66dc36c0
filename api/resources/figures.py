"""Figures for the training office: how far reviewers agree, and how long an item takes."""

from fastapi import APIRouter

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.library.review.agreement import Agreement
from vouchbook.library.review.figures import Pace, agreement, pace

router = APIRouter(prefix="/figures", tags=["figures"], route_class=Route)


@router.get("/agreement", summary="See how far reviewers agree", responses=problems())
def get_agreement(_who: Who, library: LibraryOf) -> tuple[Agreement, ...]:
    """Cohen's kappa for each pair of people who both decided on some item."""
    with library.reading() as session:
        return agreement(session)


@router.get("/pace", summary="See how long an item takes", responses=problems())
def get_pace(_who: Who, library: LibraryOf) -> tuple[Pace, ...]:
    """The time from one decision of a person to their next, breaks left out."""
    with library.reading() as session:
        return pace(session)
