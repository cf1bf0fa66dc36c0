import io
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from vouchbook.library.audit.journal import entries
from vouchbook.library.open import Library
from vouchbook.library.store.tables import MediumRow, SentenceRow, VisitMediumRow, VisitRow
from vouchbook.library.visits.bring import File, bring
from vouchbook.library.visits.drafts import add_draft
from vouchbook.library.visits.media import attach, kept_media
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, MediaError, NotAllowedError
from vouchbook.models.people import Actor
from vouchbook.models.visits import MediumRole, Visit

Staff = dict[str, Actor]
TALK = b"a recording of a talk" * 1000


def add(library: Library, actor: Actor, visit: Visit, content: bytes = TALK, name: str = "talk.mp4") -> bool:
    stored = library.media.add(io.BytesIO(content))
    with library.work(actor) as work:
        return attach(work, add_visit(work, visit), stored, "recording", name)


def test_a_file_is_part_of_its_visit_once(library: Library, staff: Staff, visit: Visit) -> None:
    assert add(library, staff["officer"], visit)
    assert not add(library, staff["officer"], visit, name="again.mp4")
    with library.reading() as session:
        (row,) = session.scalars(select(VisitMediumRow))
        (medium,) = session.scalars(select(MediumRow))
        assert (row.name, row.role, row.position, row.sha256) == ("talk.mp4", "recording", 0, medium.sha256)
        assert (medium.size_bytes, medium.media_type) == (len(TALK), "video/mp4")
        assert kept_media(session) == ((medium.sha256, len(TALK)),)
        assert list(library.media.troubles(kept_media(session))) == []


@pytest.mark.parametrize("name", ["../../evil.mp4", "C:\\evil.mp4", "\x00evil.mp4", "/etc/evil.mp4"])
def test_no_name_becomes_a_path(library: Library, staff: Staff, visit: Visit, name: str) -> None:
    add(library, staff["officer"], visit, name=name)
    with library.reading() as session:
        assert session.scalars(select(VisitMediumRow.name)).all() == ["evil.mp4"]
    files = [path for path in library.media.folder.rglob("*") if path.is_file()]
    assert len(files) == 1
    assert "evil" not in str(files[0])


def test_a_file_that_was_removed_does_not_come_back_by_itself(library: Library, staff: Staff, visit: Visit) -> None:
    add(library, staff["officer"], visit)
    with library.work(staff["archivist"]) as work:
        (medium,) = work.session.scalars(select(MediumRow))
        medium.removed_at, medium.removed_reason = work.at, "consent withdrawn"
        work.journal("removed", "medium", medium.sha256)
    with pytest.raises(ConflictError, match=r"removed on 04 March 2031 \(consent withdrawn\)"):
        add(library, staff["officer"], visit)


def test_a_recording_that_comes_later_gives_the_words_their_place(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    with library.work(staff["officer"]) as work:
        add_draft(work, add_visit(work, visit), draft)
    with library.reading() as session:
        assert set(session.scalars(select(SentenceRow.sha256))) == {None}
        before = session.execute(select(SentenceRow.words, SentenceRow.start_s).order_by(SentenceRow.id)).all()
    add(library, staff["officer"], visit)
    with library.reading() as session:
        (medium,) = session.scalars(select(MediumRow.sha256))
        assert set(session.scalars(select(SentenceRow.sha256))) == {medium}
        assert session.execute(select(SentenceRow.words, SentenceRow.start_s).order_by(SentenceRow.id)).all() == before


@pytest.fixture
def files(tmp_path: Path) -> Callable[..., list[File]]:
    def make(*roles: MediumRole) -> list[File]:
        for role in roles:
            (tmp_path / f"{role}.mp4").write_bytes(TALK + role.encode())
        return [File(path=tmp_path / f"{role}.mp4", role=role) for role in roles]

    return make


def test_a_whole_walk_through_comes_in_once(
    library: Library, staff: Staff, visit: Visit, draft: Draft, files: Callable[..., list[File]]
) -> None:
    first = bring(library, staff["officer"], visit, draft, files("recording", "still"))
    assert first.is_new
    other = visit.model_copy(update={"key": "0" * 8 + visit.key[8:]})
    again = bring(library, staff["officer"], other, draft, files("recording"))
    assert again == first.model_copy(update={"is_new": False})
    with library.reading() as session:
        assert session.scalars(select(VisitRow.key)).all() == [visit.key]
        assert session.scalars(select(VisitMediumRow.role).order_by(VisitMediumRow.position)).all() == [
            "recording", "still",
        ]  # fmt: skip
        acts = [(entry.act, entry.what) for entry in entries(session) if entry.person == 2]
    assert acts == [("added", "visit"), ("got a file", "visit"), ("got a file", "visit"), ("added", "draft")]


def test_no_file_is_copied_for_who_may_not_bring_it(
    library: Library, staff: Staff, visit: Visit, draft: Draft, files: Callable[..., list[File]]
) -> None:
    with pytest.raises(NotAllowedError, match="only an officer"):
        bring(library, staff["reviewer"], visit, draft, files("recording"))
    assert [path for path in library.media.folder.rglob("*") if path.is_file()] == []


def test_nothing_of_it_comes_about_when_a_file_is_missing(
    library: Library, staff: Staff, visit: Visit, draft: Draft, tmp_path: Path
) -> None:
    with pytest.raises(MediaError, match=r"gone\.mp4: cannot be read"):
        bring(library, staff["officer"], visit, draft, [File(path=tmp_path / "gone.mp4", role="recording")])
    with library.reading() as session:
        assert session.scalars(select(VisitRow)).all() == []
