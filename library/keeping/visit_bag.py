"""One visit as a bag: its media, drafts, decisions and editions, with the journal's entries about them."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import Field
from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import Head, canonical, canonical_sha256
from vouchbook.library.audit.journal import head
from vouchbook.library.keeping.bag import info_of, new_bag
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.keeping.rows import lines, rows
from vouchbook.library.keeping.visit_rows import Rows, ids, replaced, rows_of_visit
from vouchbook.library.open import Library
from vouchbook.library.store.migrate import versions
from vouchbook.library.store.tables import JournalRow
from vouchbook.library.visits.visits import visit_keyed
from vouchbook.models.people import Actor
from vouchbook.models.record import Record

ABOUT = "visit.json"


class BaggedVisit(Record):
    """What a bag of one visit says of it. ``library`` is the hash of the first entry of the journal it comes from.

    ``replaces`` gives the number of the edition that one of its editions replaces, by the edition's row number.
    """

    format: int = Field(default=1, ge=1, le=1)
    form: str
    key: str
    library: str = Field(pattern=r"^[0-9a-f]{64}$")
    head: Head
    digest: str = Field(pattern=r"^[0-9a-f]{64}$")
    tables: tuple[str, ...]
    replaces: dict[str, int]


def export_visit(library: Library, actor: Actor, key: str, folder: Path) -> BaggedVisit:
    """Writes one visit into a new bag; the journal says that it left, for whom the names of its people are in it.

    What was removed or is hidden is named in it and not there. Passwords are not in it.

    Raises:
        NotAllowedError: not by an archivist or administrator.
        NotFoundError: no such visit.
        StoreError: something is at ``folder``, a medium is missing or damaged, or the disk is full.
    """
    with library.work(actor) as work:
        tell_export(work, key)
    return write_visit_bag(library, key, folder)


def tell_export(work: Work, key: str) -> None:
    """Tells the journal that a visit leaves the library.

    Raises:
        NotAllowedError: not by an archivist or administrator.
        NotFoundError: no such visit.
    """
    work.needs(*KEEPERS)
    work.journal("exported", "visit", visit_keyed(work.session, key))


def write_visit_bag(library: Library, key: str, folder: Path) -> BaggedVisit:
    """Writes the bag alone; who hands it out calls :func:`tell_export`.

    Raises:
        NotFoundError, StoreError: as for :func:`export_visit`.
    """
    with library.reading() as session, new_bag(folder) as bag:
        visit_id = visit_keyed(session, key)
        found = rows_of_visit(session, visit_id)
        about = BaggedVisit(
            form=versions()[-1],
            key=key,
            library=first_hash(session),
            head=head(session),
            digest=digest_of(found),
            tables=tuple(found),
            replaces=replaced(session, found),
        )
        bag.lines(ABOUT, [canonical(about.model_dump(mode="json"))])
        for name, of_table in found.items():
            bag.lines(f"tables/{name}.jsonl", lines(of_table))
        bag.lines("journal.jsonl", lines(_entries_about(session, found)))
        for medium in found["medium"]:
            if medium["removed_at"] is None:
                bag.medium(library.media.path(medium["sha256"]), medium["sha256"], links=False)
        bag.close(info_of("One visit of a library of Vouchbook", key, library.clock().date()))
    return about


def digest_of(found: Rows) -> str:
    """One hash over all rows of a visit: the same while nothing of it changes."""
    return canonical_sha256(found)


def first_hash(session: Session) -> str:
    """The hash of the journal's first entry, by which a library is known; that of nothing in an empty one."""
    return session.scalar(select(JournalRow.own_hash).where(JournalRow.seq == 1)) or "0" * 64


def _entries_about(session: Session, found: Rows) -> Iterator[dict[str, Any]]:
    """The journal's entries about any row of the visit, as they stand there: hashes and all."""
    about = [(name, str(number)) for name, of_table in found.items() if name in _TOLD for number in ids(of_table)]
    of_rows = or_(*(
        (JournalRow.what == name) & JournalRow.what_id.in_([number for kind, number in about if kind == name])
        for name in _TOLD
    ))  # fmt: skip
    return rows(session, select(JournalRow.__table__).where(of_rows).order_by(JournalRow.seq))


_TOLD = ("visit", "participant", "draft", "item", "question", "edition", "hold")
