"""What can be asked for: one function a kind, and its line in :data:`KINDS`."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from pydantic import Field
from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.open import Library
from vouchbook.library.queue.keeping import BACKUP, CHECK, EXPORT, IMPORT, backup_to, check_all, export_to, take_in
from vouchbook.library.queue.kind import Kind, Told, Write
from vouchbook.library.search.sentences import rebuild
from vouchbook.library.store.tables import MediumRow, VisitMediumRow
from vouchbook.library.visits.drafts import add_draft
from vouchbook.library.visits.visits import visit_of
from vouchbook.models.errors import NotFoundError
from vouchbook.models.record import Record

if TYPE_CHECKING:
    from vouchbook.extract.listen.progress import Progress

LISTEN, INDEX, LEARN = "listen", "index", "learn"

_HEARD = 0.9
"""The share of the whole that hearing takes; reading is quick."""
_LONGEST_STEM = 50  # a letter has up to four bytes, a name of a file 255


class Listening(Record):
    """What to listen to: all recordings of a visit, or its captions where it has no recording."""

    visit_id: int
    model: str = "base"
    voices: int | None = Field(default=None, ge=1, le=8)


def listen(library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
    """Hears the recordings of a visit, or reads its captions, and brings the draft.

    Raises:
        NotFoundError: no such visit, or it has neither.
        InputError, ModelError: a file or the speech weights cannot be used.
    """
    wanted = Listening.model_validate(arguments)
    told(0.0, "making ready")
    with library.reading() as session:
        subject = str(visit_of(session, wanted.visit_id).subject)
        files = _files(session, wanted.visit_id, "recording") or _files(session, wanted.visit_id, "captions")
    if not files:
        raise NotFoundError(
            f"visit {wanted.visit_id}", "it has neither recording nor captions to hear", "Add one, then listen"
        )
    from vouchbook.extract.listen.hearing_settings import HearingSettings  # what needs no hearing does without it
    from vouchbook.extract.run import Drafting, transcript_of

    drafting = Drafting()
    with TemporaryDirectory(prefix="vouchbook-") as folder:
        paths = [
            _named(library.media.path(sha256), name, Path(folder) / str(n)) for n, (sha256, name) in enumerate(files)
        ]
        settings = HearingSettings(model=wanted.model)
        transcript = transcript_of(paths, settings, wanted.voices, lambda progress: told(_share(progress), "listening"))
        told(_HEARD, "reading")
        draft = drafting.draft(transcript, subject)

    def write(work: Work) -> Mapping[str, Any]:
        added = add_draft(work, wanted.visit_id, draft)
        counts = {"items": len(draft.items), "questions": len(draft.open_questions)}
        return {"visit_id": added.visit_id, "draft_id": added.draft_id, **counts}

    return write


def index(_library: Library, _arguments: Mapping[str, Any], told: Told) -> Write:
    """Makes the index of all sentences anew. Nobody else can write while it lasts."""
    told(0.0, "indexing")

    def write(work: Work) -> Mapping[str, Any]:
        work.needs("archivist", "administrator")
        return {"sentences": rebuild(work.session.connection())}

    return write


def learn_sentences(library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
    """Learns what the sentences mean that came since the last time, part by part: what is learned stays.

    Raises:
        ModelError: the sentence model is not installed.
    """
    del arguments
    from vouchbook.library.search.encoder import load_encoder  # large, and not installed everywhere
    from vouchbook.library.search.learn import learn

    count = learn(library, load_encoder(), lambda done, of: told(done / of, "learning"))
    return lambda _work: {"sentences": count}


KINDS: dict[str, Kind] = {LISTEN: listen, INDEX: index, LEARN: learn_sentences, CHECK: check_all, IMPORT: take_in}
"""What every worker does."""


def kinds_of(exports: Path | None) -> dict[str, Kind]:
    """What a worker does whose backups and exports go into the folder ``exports``; without one they fail."""
    return {**KINDS, BACKUP: partial(backup_to, exports), EXPORT: partial(export_to, exports)}


def _files(session: Session, visit_id: int, role: str) -> list[tuple[str, str]]:
    """Hash and name of the files that are that to a visit, in order, without those that are hidden or were removed."""
    asked = select(VisitMediumRow).where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.role == role)
    seen = asked.join(MediumRow).where(MediumRow.removed_at.is_(None), MediumRow.hidden_at.is_(None))
    return [(row.sha256, row.name) for row in session.scalars(seen.order_by(VisitMediumRow.position))]


def _named(medium: Path, name: str, folder: Path) -> Path:
    """The file under the name that people know it by: its ending says what it is, messages and the draft name it."""
    folder.mkdir()
    ending = Path(name).suffix[:20]
    path = folder / f"{Path(name).stem[:_LONGEST_STEM].strip('.') or 'unnamed'}{ending}"
    path.symlink_to(medium.absolute())
    return path


def _share(progress: "Progress") -> float:
    return _HEARD * progress.done_s / progress.total_s if progress.total_s else 0.0
