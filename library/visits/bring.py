"""A whole walk-through in one go: files, visit and draft; again without harm, after an interruption too."""

from collections.abc import Sequence
from pathlib import Path

from vouchbook.library.actor import as_known, needs
from vouchbook.library.keeping.removal import finish_removals
from vouchbook.library.open import Library
from vouchbook.library.visits.drafts import Added, add_draft, find_draft
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, MediaError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record
from vouchbook.models.visits import MediumRole, Visit


class File(Record):
    """A file to bring, and what it is to the visit."""

    path: Path
    role: MediumRole


def bring(library: Library, actor: Actor, visit: Visit, draft: Draft, files: Sequence[File] = ()) -> Added:
    """Adds visit, files and draft. A draft that the library has already stays with the visit that it belongs to.

    The files are copied before the piece of work, which takes as long as it takes, and only for who may bring them.

    Raises:
        NotAllowedError: not by an officer; then no file was copied.
        MediaError: a file cannot be read.
        LibraryError: as the single steps do; then nothing of it came about.
    """
    with library.reading() as session:
        needs(as_known(session, actor), "officer")
        there = find_draft(session, draft)
    if there is not None:
        return there
    stored = []
    for file in files:
        try:
            stored.append(library.media.add(file.path))
        except OSError as error:
            raise MediaError(str(file.path), f"cannot be read ({error.strerror})", "Check the file") from error
    try:
        with library.work(actor) as work:
            visit_id = add_visit(work, visit)
            for file, one in zip(files, stored, strict=True):
                attach(work, visit_id, one, file.role, file.path.name)
            return add_draft(work, visit_id, draft)
    except ConflictError:
        finish_removals(library)  # what was removed before has come back by the copying
        raise
