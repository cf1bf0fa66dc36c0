"""Finding what was said and decided, and searches that a person keeps."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Path, Query
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.library.open import Library
from vouchbook.library.search.find import RANKED, Found, find
from vouchbook.library.search.query import LONGEST_QUERY, Filters, parse
from vouchbook.library.search.query import Query as Asked
from vouchbook.library.search.saved import SavedSearch, forget_search, save_search, saved_searches
from vouchbook.models.errors import NotFoundError
from vouchbook.models.record import Record

router = APIRouter(tags=["search"], route_class=Route)

Name = Annotated[str, Path(min_length=1, max_length=80)]


class Wanted(Record):
    """What to search for: as it is typed, with filters beside it; ``most`` results from ``skip`` on."""

    q: str = Field(default="", max_length=LONGEST_QUERY)
    subject: str | None = Field(default=None, max_length=200)
    subject_id: int | None = Field(default=None, ge=1, le=2**63 - 1)
    maker: str | None = Field(default=None, max_length=200)
    energy: str | None = Field(default=None, max_length=200)
    years_from: int | None = Field(default=None, ge=1800, le=2200)
    years_to: int | None = Field(default=None, ge=1800, le=2200)
    kind: str | None = Field(default=None, max_length=40)
    phase: str | None = Field(default=None, max_length=200)
    hazard: str | None = Field(default=None, max_length=200)
    person: str | None = Field(default=None, max_length=200)
    place: str | None = Field(default=None, max_length=200)
    held_from: date | None = None
    held_to: date | None = None
    visit_id: int | None = Field(default=None, ge=1, le=2**63 - 1)
    is_confirmed_only: bool = False
    by_meaning: bool = Field(default=False, description="Also what says the same in other words.")
    most: int = Field(default=20, ge=1, le=RANKED)
    skip: int = Field(default=0, ge=0, le=RANKED)

    @property
    def filters(self) -> Filters:
        """The filters among it."""
        return Filters.model_validate(self.model_dump(exclude={"q", "by_meaning", "most", "skip"}))


class SearchToKeep(Record):
    """What is typed, and the filters beside it."""

    typed: str = Field(max_length=LONGEST_QUERY)
    filters: Filters = Filters()


@router.get("/search", summary="Find sentences", responses=problems())
def get_search(wanted: Annotated[Wanted, Query()], _who: Who, library: LibraryOf) -> Found:
    """The sentences that answer best, each with the second to play and the edition in which it stands."""
    query = parse(wanted.q, wanted.filters)
    if wanted.by_meaning:
        return _near(library, query, wanted)
    with library.reading() as session:
        return find(session.connection(), query, most=wanted.most, skip=wanted.skip)


def _near(library: Library, query: Asked, wanted: Wanted) -> Found:
    from vouchbook.library.search.encoder import load_encoder  # large, and not asked for by all
    from vouchbook.library.search.near import find_by_meaning

    encoder = load_encoder()
    with library.reading() as session:
        return find_by_meaning(session.connection(), encoder, query, most=wanted.most, skip=wanted.skip)


@router.get("/me/searches", summary="List one's kept searches", responses=problems())
def get_searches(who: Who, library: LibraryOf) -> tuple[SavedSearch, ...]:
    """By name."""
    with library.reading() as session:
        return saved_searches(session.connection(), who.actor.person or 0)


@router.put("/me/searches/{name}", summary="Keep a search", responses=problems())
def put_search(name: Name, wanted: SearchToKeep, who: Who, library: LibraryOf) -> SavedSearch:
    """Keeps it under that name, over one of the same name."""
    kept = SavedSearch(name=name, typed=wanted.typed, filters=wanted.filters)
    with library.work(who.actor) as work:
        save_search(work.session.connection(), work.person_id(), kept, work.at)
    return kept


@router.delete("/me/searches/{name}", summary="Forget a search", status_code=204, responses=problems(404))
def delete_search(name: Name, who: Who, library: LibraryOf) -> None:
    """Forgets it."""
    with library.work(who.actor) as work:
        if not forget_search(work.session.connection(), work.person_id(), name):
            raise NotFoundError(f"search {name!r}", "you keep none of that name", "Look at the list")
