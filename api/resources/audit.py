"""The journal of every change: read, verified, and its head to keep elsewhere."""

from itertools import islice
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.library.audit.chain import Broken, Entry, Head
from vouchbook.library.audit.journal import entries, head, verify
from vouchbook.models.errors import NotAllowedError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record

router = APIRouter(prefix="/audit", tags=["audit"], route_class=Route)

_READERS = frozenset({"archivist", "administrator"})


class KeptHeads(Record):
    """Heads that were kept elsewhere, as they were printed."""

    heads: Annotated[tuple[Annotated[str, Field(max_length=200)], ...], Field(max_length=1000)] = ()


class PrintedHead(Record):
    """The head and the line to keep."""

    head: Head
    line: str


class Verdict(Record):
    """Whether the journal holds up to ``head``, and where it does not."""

    is_sound: bool
    head: Head
    broken: Broken | None = None


@router.get("/head", summary="Read the head of the journal", responses=problems())
def get_head(_who: Who, library: LibraryOf) -> PrintedHead:
    """While it stands, so does everything before it: keep the line where nobody of this office can change it."""
    with library.reading() as session:
        now = head(session)
    return PrintedHead(head=now, line=str(now))


@router.post("/verification", summary="Verify the journal", responses=problems())
def post_verification(kept: KeptHeads, who: Who, library: LibraryOf) -> Verdict:
    """Looks at every entry, and whether heads that were kept still stand. By an archivist or administrator."""
    _check_reader(who.actor)
    heads = tuple(Head.read(line) for line in kept.heads)
    with library.reading() as session:
        found = verify(session, heads)
        return Verdict(is_sound=found is None, head=head(session), broken=found)


@router.get("/entries", summary="Read the journal", responses=problems())
def get_entries(
    who: Who,
    library: LibraryOf,
    after: Annotated[int, Query(ge=0, le=2**63 - 1)] = 0,
    most: Annotated[int, Query(ge=1, le=1000)] = 100,
) -> tuple[Entry, ...]:
    """The entries behind that number, in order. By an archivist or administrator."""
    _check_reader(who.actor)
    with library.reading() as session:
        return tuple(islice(entries(session, after, part=most), most))


def _check_reader(actor: Actor) -> None:
    if not actor.roles & _READERS:
        raise NotAllowedError(actor.login, "only an archivist or an administrator may do this", "Ask one of them")
