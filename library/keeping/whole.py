"""The whole library as a bag, and from a bag: the road from one database to the other, and PostgreSQL's backup."""

import json
from pathlib import Path
from typing import Any

from pydantic import Field, ValidationError
from sqlalchemy import Table as SqlTable
from sqlalchemy import func, insert, select, text
from sqlalchemy.exc import DataError, IntegrityError
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import START, Head, canonical
from vouchbook.library.audit.journal import head
from vouchbook.library.keeping.bag import info_of, new_bag
from vouchbook.library.keeping.check import check_rows
from vouchbook.library.keeping.rows import all_rows, lines, parts, read_lines, stored, tables
from vouchbook.library.keeping.unbag import VerifiedBag
from vouchbook.library.open import Library
from vouchbook.library.search.sentences import rebuild
from vouchbook.library.store.migrate import versions
from vouchbook.library.store.tables import JournalRow
from vouchbook.library.visits.media import kept_media
from vouchbook.models.errors import ConflictError, DocumentError
from vouchbook.models.people import THE_LIBRARY
from vouchbook.models.record import Record

ABOUT = "library.json"


class WholeLibrary(Record):
    """What a bag of a whole library says of it. ``numbers`` are the last ones that were given, by table."""

    format: int = Field(default=1, ge=1, le=1)
    form: str
    head: Head
    numbers: dict[str, int]


class MovedIn(Record):
    """How many rows and media came; ``is_new`` is False where all of it was there before."""

    rows: int = 0
    media: int = 0
    is_new: bool


def export_library(library: Library, folder: Path, *, links: bool = False) -> Head:
    """Writes everything into a new bag, as it is at one moment, and returns the journal's head of that moment.

    It holds the hashes of passwords and the names of people: keep it like a key. ``links`` gives media another name
    instead of a copy, where the bag lies on the same disk.

    Raises:
        StoreError: something is at ``folder``, a medium is missing or damaged, or the disk is full.
    """
    with library.reading() as session, new_bag(folder) as bag:
        end = head(session)
        about = WholeLibrary(form=versions()[-1], head=end, numbers=_numbers(session))
        bag.lines(ABOUT, [canonical(about.model_dump(mode="json"))])
        for table in tables():
            bag.lines(f"tables/{table.name}.jsonl", lines(all_rows(session, table)))
        for sha256, _ in kept_media(session):
            bag.medium(library.media.path(sha256), sha256, links=links)
        told = info_of("A whole library of Vouchbook; holds password hashes", str(end), library.clock().date())
        bag.close(told)
    return end


def is_whole(bag: VerifiedBag) -> bool:
    """Whether the bag holds a whole library, not one visit."""
    return ABOUT in bag.payload


def import_library(library: Library, bag: VerifiedBag) -> MovedIn:
    """Fills an empty library with everything of ``bag``: numbers, hashes and journal stay as they are.

    Into the library that it was made from it changes nothing.

    Raises:
        DocumentError: the bag is of a newer Vouchbook, or what it holds does not fit together. Nothing of it comes.
        ConflictError: the library is not empty, and another one.
    """
    about = _about(bag)
    with library.reading() as session:
        if _is_there(session, about.head):
            return MovedIn(is_new=False)
        _must_be_empty(session)
    media = sum(_medium(library, bag, name) for name in bag.payload if name.startswith("media/"))
    with library.work(THE_LIBRARY) as work:
        _must_be_empty(work.session)
        try:
            count = sum(_fill(work.session, table, bag) for table in tables() if not _is_younger(table, about, bag))
        except (DataError, IntegrityError) as error:
            problem = f"its rows do not fit together ({str(error.orig).splitlines()[0]})"
            raise DocumentError(str(bag.folder), problem, "Export it again") from error
        _set_numbers(work.session, about.numbers)
        rebuild(work.session.connection())
        wrong = [sentence for finding in check_rows(work.session, [about.head]) for sentence in finding.wrong]
        if wrong or head(work.session) != about.head:
            problem = wrong[0] if wrong else "its journal ends elsewhere than it says"
            raise DocumentError(str(bag.folder), f"what it holds is not sound: {problem}", "Use another one")
        work.journal("moved in", "library", about.head.own_hash, {"seq": about.head.seq, "rows": count})
    return MovedIn(rows=count, media=media, is_new=True)


def _about(bag: VerifiedBag) -> WholeLibrary:
    try:
        about = WholeLibrary.model_validate(json.loads(bag.path(ABOUT).read_bytes()))
    except (ValueError, ValidationError, RecursionError):
        raise DocumentError(str(bag.folder), f"its {ABOUT} cannot be read", "Export it again") from None
    if about.form > versions()[-1]:
        raise DocumentError(str(bag.folder), f"its form {about.form} is newer than known here", "Update Vouchbook")
    return about


def _is_there(session: Session, end: Head) -> bool:
    return session.scalar(select(JournalRow.own_hash).where(JournalRow.seq == end.seq)) == end.own_hash != START


def _must_be_empty(session: Session) -> None:
    for table in tables():
        if session.execute(select(func.count()).select_from(table)).scalar_one():
            raise ConflictError(
                "library", "it is not empty, and another than the one of the bag",
                "Import into a new library, or export the visits that you want one by one",
            )  # fmt: skip


def _medium(library: Library, bag: VerifiedBag, name: str) -> int:
    known = name.removeprefix("media/").replace("/", "", 1)
    if library.media.add(bag.path(name)).sha256 != known:
        raise DocumentError(str(bag.folder), f"data/{name} is another file than its name says", "Export it again")
    return 1


def _is_younger(table: SqlTable, about: WholeLibrary, bag: VerifiedBag) -> bool:
    """Whether a bag of an older form has no rows of a table because there was none."""
    return about.form < versions()[-1] and f"tables/{table.name}.jsonl" not in bag.payload


def _fill(session: Session, table: SqlTable, bag: VerifiedBag) -> int:
    count = 0
    for part in parts(stored(table, row) for row in read_lines(bag.path(f"tables/{table.name}.jsonl"))):
        session.execute(insert(table), part)
        count += len(part)
    return count


def _numbers(session: Session) -> dict[str, int]:
    """The last number that was given in each table: that of a row that is gone is never given again."""
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        names = {table.name for table in tables()}
        found = connection.execute(text("SELECT name, seq FROM sqlite_sequence"))
        return {name: last for name, last in found if name in names}
    asked = "SELECT CASE WHEN is_called THEN last_value ELSE 0 END FROM "
    return {name: connection.exec_driver_sql(asked + seq).scalar_one() for name, seq in _sequences(session)}


def _set_numbers(session: Session, numbers: dict[str, int]) -> None:
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        for name in {table.name for table in tables() if _counts(table)} & set(numbers):
            here = connection.execute(
                text("SELECT seq FROM sqlite_sequence WHERE name = :name"), {"name": name}
            ).scalar()
            asked = {"name": name, "last": max(here or 0, numbers[name])}
            connection.execute(text("DELETE FROM sqlite_sequence WHERE name = :name"), asked)
            connection.execute(text("INSERT INTO sqlite_sequence (name, seq) VALUES (:name, :last)"), asked)
        return
    for name, sequence in _sequences(session):
        most = connection.execute(text(f"SELECT coalesce(max(id), 0) FROM {name}")).scalar_one()  # noqa: S608  ours
        last = max(most, numbers.get(name, 0))
        if last:
            connection.execute(text("SELECT setval(:sequence, :last)"), {"sequence": sequence, "last": last})


def _counts(table: SqlTable) -> bool:
    return bool(table.dialect_kwargs.get("sqlite_autoincrement"))


def _sequences(session: Session) -> list[tuple[str, Any]]:
    asked = text("SELECT pg_get_serial_sequence(:table, 'id')")
    named = [table.name for table in tables() if "id" in table.columns]
    found = ((name, session.execute(asked, {"table": name}).scalar()) for name in named)
    return [(name, sequence) for name, sequence in found if sequence]
