"""A backup is whole at any moment, and what is restored from it is sound."""

import shutil
import sqlite3
import threading
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, head, verify
from vouchbook.library.keeping.backup import back_up, restore
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.consent import withdraw
from vouchbook.library.keeping.rows import all_rows, tables
from vouchbook.library.keeping.visit_bag import export_visit
from vouchbook.library.open import Library, open_library
from vouchbook.library.people.sessions import sign_in
from vouchbook.library.store.people_tables import SignInRow
from vouchbook.library.store.tables import VisitRow
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.errors import ConflictError, DocumentError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
Media = dict[str, str]
ON_SQLITE = pytest.mark.parametrize("where", ["sqlite"], indirect=True)


def everything(library: Library) -> dict[str, list[dict[str, Any]]]:
    with library.reading() as session:
        return {table.name: list(all_rows(session, table)) for table in tables()}


def test_what_is_restored_is_what_was_there(
    library: Library, staff: Staff, media_by_role: Media, tmp_path: Path
) -> None:
    with library.work(staff["reviewer"]) as work:
        sign_in(work)
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    before = everything(library)
    done = back_up(library, tmp_path / "backup")
    assert (done.copied, done.were_there) == (len(media_by_role) - 1, 0)
    report = restore(tmp_path / "backup", tmp_path / "restored")
    assert report.wrong() == ()
    with open_library(tmp_path / "restored") as again:
        after = everything(again)
        told = after.pop("journal")
        journal = before.pop("journal")
        assert told[: len(journal)] == journal
        assert told[-1]["act"] == "restored"
        assert after == before
        with again.reading() as session:
            assert session.scalars(select(SignInRow)).all() == []
            assert verify(session, [done.head]) is None


@ON_SQLITE
def test_a_backup_made_again_copies_what_is_new_and_lets_go_what_went(
    library: Library, staff: Staff, visit_id: int, media_by_role: Media, tmp_path: Path
) -> None:
    assert visit_id == 1
    back_up(library, tmp_path / "backup")
    assert (tmp_path / "backup" / "media" / media_by_role["recording"][:2]).is_dir()
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    done = back_up(library, tmp_path / "backup")
    assert (done.copied, done.were_there) == (0, 2)
    names = {path.parent.name + path.name for path in (tmp_path / "backup" / "media").rglob("*") if path.is_file()}
    assert names == {media_by_role["still"], media_by_role["captions"]}
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound


@ON_SQLITE
def test_a_damaged_medium_of_the_backup_is_copied_again(library: Library, media_by_role: Media, tmp_path: Path) -> None:
    back_up(library, tmp_path / "backup")
    sha256 = media_by_role["still"]
    path = tmp_path / "backup" / "media" / sha256[:2] / sha256[2:]
    path.chmod(0o600)
    path.write_bytes(b"other")
    with pytest.raises(StoreError, match="other bytes"):
        restore(tmp_path / "backup", tmp_path / "restored")
    assert not (tmp_path / "restored" / "library.db").exists()
    assert back_up(library, tmp_path / "backup").copied == 1
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound


@ON_SQLITE
@pytest.mark.parametrize("links", [False, True])
def test_a_damaged_medium_of_the_library_is_told_and_the_last_backup_stays(
    library: Library, media_by_role: Media, tmp_path: Path, *, links: bool
) -> None:
    back_up(library, tmp_path / "other")
    end = back_up(library, tmp_path / "backup").head
    path = library.media.path(media_by_role["still"])
    (tmp_path / "backup" / "media" / media_by_role["still"][:2] / media_by_role["still"][2:]).unlink()
    path.chmod(0o600)
    path.write_bytes(b"other")
    with pytest.raises(StoreError, match="other bytes"):
        back_up(library, tmp_path / "backup", links=links)
    with closing(sqlite3.connect(tmp_path / "backup" / "library.db")) as database:
        assert database.execute("SELECT max(seq) FROM journal").fetchone() == (end.seq,)
    assert not (tmp_path / "backup" / "library.db.new").exists()


def test_media_may_be_the_same_files_under_another_name(library: Library, visit_id: int, tmp_path: Path) -> None:
    assert visit_id == 1
    back_up(library, tmp_path / "backup", links=True)
    files = (tmp_path / "backup").rglob("media/??/*")
    assert {path.stat().st_nlink for path in files} == {2}
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound


def test_people_work_meanwhile(library: Library, staff: Staff, visit: Visit, visit_id: int, tmp_path: Path) -> None:
    """Each backup holds what was acknowledged before it began, and a journal that verifies."""
    assert visit_id == 1
    stop, added, failed = threading.Event(), [visit.key], []

    def work_on() -> None:
        try:
            while not stop.is_set():
                key = new_key()
                with library.work(staff["officer"]) as work:
                    add_visit(work, visit.model_copy(update={"key": key}))
                added.append(key)
        except Exception as error:  # noqa: BLE001  told by the test below
            failed.append(error)

    worker = threading.Thread(target=work_on)
    worker.start()
    acknowledged = []
    try:
        for number in range(4):
            acknowledged.append(tuple(added))
            back_up(library, tmp_path / f"backup {number}")
    finally:
        stop.set()
        worker.join()
    assert failed == []
    for number, keys in enumerate(acknowledged):
        assert restore(tmp_path / f"backup {number}", tmp_path / f"restored {number}").is_sound
        with open_library(tmp_path / f"restored {number}") as again, again.reading() as session:
            assert set(keys) <= set(session.scalars(select(VisitRow.key)))
    assert check(library).is_sound


@ON_SQLITE
def test_a_medium_that_is_removed_meanwhile_is_in_no_backup(
    library: Library, staff: Staff, media_by_role: Media, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from vouchbook.library.keeping import backup

    snapshot = backup._snapshot  # noqa: SLF001  the moment between the database and the media
    done: list[object] = []

    def then_remove(source: Path, target: Path) -> None:
        snapshot(source, target)
        if not done:
            done.append(withdraw(library, staff["archivist"], 1, ["voice"], removes=True))

    monkeypatch.setattr(backup, "_snapshot", then_remove)
    back_up(library, tmp_path / "backup")
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound
    with open_library(tmp_path / "restored") as again:
        assert not again.media.path(media_by_role["recording"]).exists()


@ON_SQLITE
def test_a_backup_of_another_library_stays(library: Library, visit_id: int, tmp_path: Path) -> None:
    assert visit_id == 1
    back_up(library, tmp_path / "backup")
    with (
        open_library(tmp_path / "second") as second,
        pytest.raises(ConflictError, match="of another library, or newer"),
    ):
        back_up(second, tmp_path / "backup")
    with pytest.raises(ConflictError, match="that is the library itself"):
        back_up(library, Path(library.where).parent)
    assert check(library).is_sound
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound


def test_nothing_is_restored_over_a_library(library: Library, visit_id: int, tmp_path: Path) -> None:
    assert visit_id == 1
    with library.reading() as session:
        before = head(session)
    back_up(library, tmp_path / "backup")
    restore(tmp_path / "backup", tmp_path / "restored")
    with pytest.raises(StoreError, match="a library already"):
        restore(tmp_path / "backup", tmp_path / "restored")
    with library.reading() as session:
        assert head(session) == before


def test_what_is_no_backup_is_told(library: Library, staff: Staff, visit_id: int, visit: Visit, tmp_path: Path) -> None:
    assert visit_id == 1
    with pytest.raises(StoreError, match="there is no backup"):
        restore(tmp_path / "nowhere", tmp_path / "restored")
    export_visit(library, staff["archivist"], visit.key, tmp_path / "visit")
    with pytest.raises(DocumentError, match="it holds one visit"):
        restore(tmp_path / "visit", tmp_path / "restored")
    (tmp_path / "damaged").mkdir()
    (tmp_path / "damaged" / "library.db").write_bytes(b"no database" * 999)
    with pytest.raises(StoreError, match="its database is damaged"):
        restore(tmp_path / "damaged", tmp_path / "restored")


@ON_SQLITE
def test_a_backup_opens_without_what_was_copied(library: Library, visit_id: int, tmp_path: Path) -> None:
    """Nothing of it points to where the library was."""
    assert visit_id == 1
    back_up(library, tmp_path / "backup")
    library.close()
    shutil.rmtree(Path(library.where).parent)
    shutil.rmtree(library.media.folder)
    report = restore(tmp_path / "backup", tmp_path / "restored")
    assert report.is_sound
    with open_library(tmp_path / "restored") as again, again.reading() as session:
        assert [entry.act for entry in entries(session)][-1] == "restored"
