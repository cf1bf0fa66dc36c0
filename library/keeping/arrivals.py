"""Takes in one visit that another library exported: once, whole, verified, and with nobody's name made to vouch here.

People of another library are no people of this one: each comes as somebody who cannot sign in, under a login that says
where they are from, so that no bag can vouch in the name of a person who works here.
"""

import json
from collections.abc import Callable
from typing import Any

from pydantic import ValidationError
from sqlalchemy import insert, select
from sqlalchemy.exc import DataError, IntegrityError
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, as_known, needs
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.audit.journal import TOOK_IN, entries_about
from vouchbook.library.editions.verifications import told_of
from vouchbook.library.keeping.removal import KEEPERS, finish_removals
from vouchbook.library.keeping.rows import Values, read_lines, stored, tables
from vouchbook.library.keeping.unbag import VerifiedBag
from vouchbook.library.keeping.visit_bag import ABOUT, BaggedVisit, digest_of
from vouchbook.library.keeping.visit_rows import OUTSIDE, Rows, owners, rows_of_visit
from vouchbook.library.open import Library
from vouchbook.library.review.witness import told_of_items
from vouchbook.library.search.sentences import index_sentences
from vouchbook.library.store.migrate import versions
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.store.tables import (
    DraftRow,
    EditionRow,
    MediumRow,
    SentenceRow,
    SubjectRow,
    VerificationRow,
    VisitRow,
)
from vouchbook.library.visits.drafts import draft_of
from vouchbook.library.visits.visits import subject_id, visit_of
from vouchbook.models.errors import ConflictError, DocumentError, StoreError
from vouchbook.models.people import Actor, Person
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject


class Arrived(Record):
    """The visit in this library; ``is_new`` is False where just this was there before."""

    visit_id: int
    key: str
    is_new: bool


def import_visit(library: Library, actor: Actor, bag: VerifiedBag) -> Arrived:
    """Takes the visit of ``bag`` in. The same bag again changes nothing.

    Raises:
        NotAllowedError: not by an archivist or administrator.
        DocumentError: the bag is of a newer Vouchbook, or what it holds does not fit together. Nothing of it comes.
        ConflictError: the visit is here in another state, its subject has another edition of that number, or one of its
            media was removed here for a reason that stands.
    """
    with library.reading() as session:
        needs(as_known(session, actor), *KEEPERS)
    take = bring_visit(library, bag)
    with library.work(actor) as work:
        return take(work)


def bring_visit(library: Library, bag: VerifiedBag) -> Callable[[Work], Arrived]:
    """Does what takes long: reads the rows and brings the media. What it gives then takes the visit in.

    Raises:
        DocumentError, ConflictError: as for :func:`import_visit`, and so does what it gives.
    """
    about, found = _read(bag)
    with library.reading() as session:
        is_there = _there(session, about) is not None
    if not is_there:
        _bring_media(library, bag, found)

    def take(work: Work) -> Arrived:
        work.needs(*KEEPERS)
        try:
            there = _there(work.session, about)
            return there or Arrived(visit_id=_take_in(work, bag, about, found), key=about.key, is_new=True)
        except (DataError, IntegrityError) as error:
            raise _unsound(bag, str(error.orig).splitlines()[0]) from error
        except ConflictError:
            finish_removals(library)
            raise

    return take


def _read(bag: VerifiedBag) -> tuple[BaggedVisit, Rows]:
    try:
        about = BaggedVisit.model_validate(json.loads(bag.path(ABOUT).read_bytes()))
    except (ValueError, ValidationError, RecursionError):
        raise _unsound(bag, f"{ABOUT} cannot be read") from None
    if about.form > versions()[-1]:
        raise DocumentError(str(bag.folder), f"its form {about.form} is newer than known here", "Update Vouchbook")
    known = {table.name for table in tables()} - (OUTSIDE - {"person", "subject", "medium"})
    if set(about.tables) - known:
        raise _unsound(bag, "it has rows that belong to no visit")
    found = {name: list(read_lines(bag.path(f"tables/{name}.jsonl"))) for name in about.tables}
    if digest_of(found) != about.digest or [row.get("key") for row in found.get("visit", ())] != [about.key]:
        raise _unsound(bag, "its rows are others than it says")
    return about, found


def _there(session: Session, about: BaggedVisit) -> Arrived | None:
    row_id = session.scalar(select(VisitRow.id).where(VisitRow.key == about.key))
    if row_id is None:
        return None
    came = (entry.body.get("bag") for entry in entries_about(session, "visit", str(row_id)) if entry.act == TOOK_IN)
    if about.digest in came or digest_of(rows_of_visit(session, row_id)) == about.digest:
        return Arrived(visit_id=row_id, key=about.key, is_new=False)
    raise ConflictError(
        f"visit {about.key}", "it is here already, in another state", "What is here stays; compare the two by hand"
    )


def _bring_media(library: Library, bag: VerifiedBag, found: Rows) -> None:
    for medium in found["medium"]:
        sha256 = str(medium.get("sha256"))
        if medium.get("removed_at") is None:
            stored_as = library.media.add(bag.path(f"media/{sha256[:2]}/{sha256[2:]}"))
            if (stored_as.sha256, stored_as.size_bytes) != (sha256, medium.get("size_bytes")):
                raise _unsound(bag, f"medium {sha256} is another than it says")


def _take_in(work: Work, bag: VerifiedBag, about: BaggedVisit, found: Rows) -> int:
    by_name = {table.name: table for table in tables()}
    new: dict[str, dict[Any, Any]] = {
        "person": {row["id"]: _person(work, row, about) for row in map(_named, found["person"])},
        "subject": {row["id"]: subject_id(work.session, _subject(bag, row)) for row in found["subject"]},
        "medium": {sha256: sha256 for sha256 in (_medium(work, row) for row in found["medium"])},
    }
    for name in about.tables:
        if name in new:
            continue
        table = by_name[name]
        new[name] = {}
        for old in found[name]:  # one by one: an edition may replace one that came just before
            row = _mapped(bag, stored(table, old), owners(table), new)
            if name == "edition":
                row["replaces_id"] = _replaced(work, row, about.replaces.get(str(old["id"])))
            new[name][old["id"]] = work.session.scalar(insert(table).values(row).returning(table.c.id))
    (visit_id,) = new["visit"].values()
    told = _verified(work, bag, new)
    of_visit = select(SentenceRow.id).where(SentenceRow.visit_id == visit_id)
    index_sentences(work.session.connection(), work.session.scalars(of_visit).all())
    origin = {"key": about.key, "bag": about.digest, "library": about.library, "head": str(about.head)}
    work.journal(TOOK_IN, "visit", visit_id, origin | told)
    return int(visit_id)


def _mapped(bag: VerifiedBag, row: Values, points: Any, new: dict[str, dict[Any, Any]]) -> Values:  # noqa: ANN401
    """``row`` with the numbers that things have here, and none of its own."""
    found = {name: value for name, value in row.items() if name != "id"}
    for name, target in points.items():
        if name == "replaces_id":
            found[name] = None
        elif found.get(name) is not None:
            if found[name] not in new.get(target, {}):
                raise _unsound(bag, f"{name} {found[name]} is not in it")
            found[name] = new[target][found[name]]
    return found


def _named(row: Values) -> Values:
    return stored(PersonRow.__table__, row | {"roles": [], "is_active": False, "created_at": "2000-01-01T00:00:00Z"})  # type: ignore[arg-type]


def _person(work: Work, row: Values, about: BaggedVisit) -> int:
    login = f"{row['login'][:55]}.{about.library[:8]}"
    there = work.session.scalar(select(PersonRow).where(PersonRow.login == login))
    if there is not None:
        if there.is_active:
            raise ConflictError(f"person {login}", "somebody of that login works here", "Give them another login")
        return there.id
    fields = {"login": login, "name": row["name"], "roles": [], "is_active": False, "created_at": work.at}
    try:
        Person.model_validate({"id": 1, **fields})
    except ValidationError:
        raise DocumentError("rows of person", "a name or login cannot be", "Use no bag of an unknown source") from None
    added = PersonRow(**fields)
    work.session.add(added)
    work.session.flush()
    work.journal("came with a visit", "person", added.id, {"login": login})
    return added.id


def _subject(bag: VerifiedBag, row: Values) -> Subject:
    stored(SubjectRow.__table__, row)  # type: ignore[arg-type]
    try:
        return Subject.model_validate({name: value for name, value in row.items() if name != "id"})
    except ValidationError:
        raise _unsound(bag, "its subject is none") from None


def _medium(work: Work, row: Values) -> str:
    values = stored(MediumRow.__table__, row)  # type: ignore[arg-type]
    work.media.path(values["sha256"])
    there = work.session.get(MediumRow, values["sha256"])
    if there is None:
        work.session.add(MediumRow(**values))
        work.session.flush()
    elif there.removed_at is not None and values["removed_at"] is None:
        raise ConflictError(
            f"medium {there.sha256}",
            f"it was removed here ({there.removed_reason})",
            "That stands: leave the visit out",
        )
    return str(values["sha256"])


def _replaced(work: Work, edition: Values, number: int | None) -> int | None:
    """The row of the edition that this one replaces, if it is here.

    Editions keep their numbers, which their hash covers: where one is taken by another, the visit cannot come.
    """
    of_subject = select(EditionRow.id).where(EditionRow.subject_id == edition["subject_id"])
    if work.session.scalar(of_subject.where(EditionRow.number == edition["number"])) is not None:
        raise ConflictError(
            f"edition {edition['number']}", "this subject has another of that number here", "What is here stays"
        )
    return work.session.scalar(of_subject.where(EditionRow.number == number)) if number else None


def _verified(work: Work, bag: VerifiedBag, new: dict[str, dict[Any, Any]]) -> dict[str, Any]:
    """The hashes of what came, for the journal.

    Raises:
        DocumentError: a draft, an edition or the visit is not what a library holds.
    """
    session: Session = work.session
    drafts, editions = {}, {}
    try:
        for number in new["visit"].values():
            visit_of(session, number)
        for number in new.get("draft", {}).values():
            draft_of(session, number)
            drafts[str(number)] = session.get_one(DraftRow, number).document_sha256
        for number in new.get("edition", {}).values():
            row = session.get_one(EditionRow, number)
            editions[str(number)] = row.content_sha256
    except (ValueError, KeyError, StoreError, DocumentError) as error:
        raise _unsound(bag, str(error).splitlines()[0]) from error
    for number, sha256 in editions.items():
        if canonical_sha256(session.get_one(EditionRow, int(number)).content) != sha256:
            raise _unsound(bag, f"edition {number} is not what was published")
    came = (session.get_one(VerificationRow, number) for number in new.get("verification", {}).values())
    verified = [{"edition": row.edition_id, **told_of(row)} for row in came]
    items = [one for number in drafts for one in told_of_items(session, int(number))]
    return {"drafts": drafts, "editions": editions, "items": items, "verifications": verified}


def _unsound(bag: VerifiedBag, problem: str) -> DocumentError:
    return DocumentError(str(bag.folder), f"what it holds does not fit together: {problem}", "Export it again")
