"""What went out: the archives that tasks have made, as they lie in the folder of the server."""

from pathlib import Path
from secrets import token_hex

from pydantic import AwareDatetime
from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, needs
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.queue.keeping import EXPORT, Leaving
from vouchbook.library.store.people_tables import TaskRow
from vouchbook.library.visits.visits import visit_of
from vouchbook.models.errors import NotFoundError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record


class Exported(Record):
    """An archive that can be fetched: of the visit of that key, or of the whole library."""

    name: str
    visit: str | None
    size_bytes: int
    sha256: str
    made_by: int | None
    made_at: AwareDatetime


def leaving(work: Work, visit_id: int | None) -> Leaving:
    """What a task is to export, under a new name.

    Raises:
        NotAllowedError: a whole library, with the password hashes in it, not by an administrator; a visit not by an
            archivist or administrator.
        NotFoundError: no such visit.
    """
    if visit_id is None:
        work.needs("administrator")
        return Leaving(name=f"library-{token_hex(8)}.zip")
    work.needs(*KEEPERS)
    return Leaving(name=f"visit-{token_hex(8)}.zip", visit=visit_of(work.session, visit_id).key)


def exported(session: Session, folder: Path) -> tuple[Exported, ...]:
    """The archives that are there, the newest first."""
    asked = select(TaskRow).where(TaskRow.kind == EXPORT, TaskRow.state == "done").order_by(TaskRow.id.desc())
    found = ((row, row.result or {}) for row in session.scalars(asked))
    return tuple(
        Exported.model_validate(result | {"made_by": row.person_id, "made_at": row.finished_at})
        for row, result in found
        if (folder / Leaving.model_validate(row.arguments).name).is_file()
    )


def to_fetch(session: Session, folder: Path, actor: Actor, name: str) -> Exported:
    """The archive of that name, for who may have what is in it.

    Raises:
        NotAllowedError: as for :func:`leaving`.
        NotFoundError: there is none of that name.
    """
    needs(actor, *KEEPERS)
    for one in exported(session, folder):
        if one.name == name:
            if one.visit is None:
                needs(actor, "administrator")
            return one
    raise NotFoundError(f"export {name!r}", "there is none of that name", "Look at the list")


def drop_export(work: Work, folder: Path, name: str) -> None:
    """Deletes an archive; that it was made stays on the record.

    Raises:
        NotAllowedError, NotFoundError: as for :func:`to_fetch`.
        StoreError: it cannot be deleted.
    """
    one = to_fetch(work.session, folder, work.actor, name)
    work.journal("deleted an export", "export", name, {"sha256": one.sha256, "visit": one.visit})
    try:
        (folder / one.name).unlink(missing_ok=True)
    except OSError as error:
        raise StoreError(name, f"cannot be deleted ({error.strerror})", "Check whose the folder is") from error
