"""A backup made again takes the place of the one before, on both databases; whatever else is there stays."""

import os
from collections.abc import Iterator
from pathlib import Path
from time import time

import pytest

from vouchbook.library.audit.chain import Head
from vouchbook.library.audit.journal import entries, head
from vouchbook.library.keeping import bag_backup
from vouchbook.library.keeping.backup import back_up, restore
from vouchbook.library.keeping.bag_backup import sweep_backups, whole_at
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.consent import withdraw
from vouchbook.library.keeping.unbag import verified
from vouchbook.library.keeping.visit_bag import export_visit
from vouchbook.library.keeping.whole import export_library, import_library
from vouchbook.library.open import Library, open_library
from vouchbook.library.store.disk import OLD_S
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.errors import ConflictError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
Media = dict[str, str]
ON_POSTGRES = pytest.mark.parametrize("where", ["postgresql"], indirect=True)
OTHER_TOO = pytest.mark.parametrize("other", ["postgresql"], indirect=True)
ON_SQLITE = pytest.mark.parametrize("where", ["sqlite"], indirect=True)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "disk").mkdir()
    return tmp_path / "disk" / "backup"


def media_in(folder: Path) -> set[str]:
    return {path.parent.name + path.name for path in folder.rglob("media/??/*") if path.is_file()}


def ends_at(backup: Path, where: Path) -> int:
    """The last entry of the journal that the backup holds: a library that is restored from it goes on from there."""
    assert restore(backup, where).wrong() == ()
    with open_library(where) as again, again.reading() as session:
        return max(entry.seq for entry in entries(session) if entry.act not in ("moved in", "restored"))


def one_more(library: Library, staff: Staff, visit: Visit) -> None:
    with library.work(staff["officer"]) as work:
        add_visit(work, visit.model_copy(update={"key": new_key()}))


def test_there_is_one_backup_the_newest_without_what_was_removed(
    library: Library, staff: Staff, media_by_role: Media, folder: Path, tmp_path: Path
) -> None:
    back_up(library, folder)
    assert media_in(folder) == set(media_by_role.values())
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    done = back_up(library, folder)
    assert done.copied + done.were_there == len(media_by_role) - 1
    assert media_in(folder) == set(media_by_role.values()) - {media_by_role["recording"]}
    assert [path.name for path in folder.parent.iterdir()] == ["backup"]
    assert ends_at(folder, tmp_path / "restored") == done.head.seq


def test_one_that_cannot_be_made_leaves_the_last_one(
    library: Library, media_by_role: Media, folder: Path, tmp_path: Path
) -> None:
    end = back_up(library, folder).head
    path = library.media.path(media_by_role["still"])
    path.chmod(0o600)
    path.write_bytes(b"other")
    if library.url.get_backend_name() == "sqlite":
        (folder / "media" / media_by_role["still"][:2] / media_by_role["still"][2:]).unlink()
    with pytest.raises(StoreError, match="other bytes"):
        back_up(library, folder)
    assert [path.name for path in folder.parent.iterdir()] == ["backup"]
    if library.url.get_backend_name() == "postgresql":
        assert ends_at(folder, tmp_path / "restored") == end.seq


def test_a_backup_of_another_library_stays(
    library: Library, other: Library, visit_id: int, folder: Path, tmp_path: Path
) -> None:
    """Of the same kind it is told apart by its journal; of the other kind by its form."""
    assert visit_id == 1
    end = back_up(library, folder).head
    is_alike = library.engine.dialect.name == other.engine.dialect.name
    with pytest.raises(ConflictError if is_alike else StoreError, match=r"another library|there is a bag|no backup"):
        back_up(other, folder)
    assert [path.name for path in folder.parent.iterdir()] == ["backup"]
    assert ends_at(folder, tmp_path / "restored") == end.seq


@ON_POSTGRES
@OTHER_TOO
def test_a_newer_backup_stays(
    library: Library, other: Library, staff: Staff, visit: Visit, folder: Path, tmp_path: Path
) -> None:
    """Somebody went back to an older state, and works on: what was done in between is in the backup alone."""
    export_library(library, tmp_path / "older")
    one_more(library, staff, visit)
    one_more(library, staff, visit)
    end = back_up(library, folder).head
    import_library(other, verified(tmp_path / "older"))
    with pytest.raises(ConflictError, match="or newer"):
        back_up(other, folder)
    assert ends_at(folder, tmp_path / "restored") == end.seq


@ON_POSTGRES
def test_a_slower_server_does_not_put_an_older_one_in_its_place(
    library: Library, staff: Staff, visit: Visit, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Head] = []

    def slow(library: Library, beside: Path, *, links: bool) -> Head:
        end = export_library(library, beside, links=links)
        if not made:
            made.append(end)
            one_more(library, staff, visit)
            made.append(back_up(library, folder).head)
        return end

    monkeypatch.setattr(bag_backup, "export_library", slow)
    with pytest.raises(ConflictError, match="or newer"):
        back_up(library, folder)
    assert made[0].seq < made[1].seq == ends_at(folder, tmp_path / "restored")
    assert [path.name for path in folder.parent.iterdir()] == ["backup"]


@ON_POSTGRES
def test_what_is_no_backup_is_not_replaced(
    library: Library, staff: Staff, visit: Visit, visit_id: int, folder: Path
) -> None:
    assert visit_id == 1
    for name in ("empty", "full", "visit"):
        place = folder / name
        if name == "visit":
            export_visit(library, staff["archivist"], visit.key, place)
        else:
            place.mkdir(parents=True)
        if name == "full":
            (place / "letter.txt").write_text("mine")
        before = sorted(folder.rglob("*"))
        with pytest.raises(StoreError, match="something is there already"):
            back_up(library, place)
        assert sorted(folder.rglob("*")) == before


@ON_SQLITE
def test_a_folder_does_not_hold_a_bag_and_a_database(library: Library, visit_id: int, folder: Path) -> None:
    """It would be restored from the bag, however old that is."""
    assert visit_id == 1
    export_library(library, folder)
    with pytest.raises(StoreError, match="there is a bag already"):
        back_up(library, folder)
    assert not (folder / "library.db").exists()
    assert verified(folder)


@pytest.fixture
def interrupted(library: Library, visit_id: int, folder: Path) -> Iterator[Path]:
    """A backup that was to be replaced when the machine went down, between the two renames."""
    assert visit_id == 1
    back_up(library, folder)
    folder.rename(folder.parent / ".backup.before")
    yield folder
    assert check(library).is_sound


@ON_POSTGRES
def test_between_two_renames_the_earlier_one_is_found(
    library: Library, staff: Staff, visit: Visit, interrupted: Path, tmp_path: Path
) -> None:
    with library.reading() as session:
        end = head(session)
    assert ends_at(interrupted, tmp_path / "restored") == end.seq
    assert whole_at(interrupted).name == ".backup.before"
    one_more(library, staff, visit)
    end = back_up(library, interrupted).head
    assert [path.name for path in interrupted.parent.iterdir()] == ["backup"]
    assert ends_at(interrupted, tmp_path / "again") == end.seq


@ON_POSTGRES
@OTHER_TOO
def test_an_earlier_one_of_another_library_is_not_lost_either(
    interrupted: Path, tmp_path: Path, other: Library
) -> None:
    with pytest.raises(ConflictError, match="another library"):
        back_up(other, interrupted)
    assert ends_at(interrupted, tmp_path / "restored") > 0


@ON_POSTGRES
def test_a_backup_may_be_behind_a_link(library: Library, visit_id: int, folder: Path, tmp_path: Path) -> None:
    assert visit_id == 1
    (tmp_path / "link").symlink_to(folder)
    for _ in range(2):
        back_up(library, tmp_path / "link")
        assert (tmp_path / "link").is_symlink()
        assert [path.name for path in folder.parent.iterdir()] == ["backup"]


def test_only_rests_of_this_backup_are_swept(folder: Path) -> None:
    half, token = folder.parent, "0123456789abcdef"
    ours = [half / f".backup.{token}", half / f".backup.{token}.unfinished"]
    others = [half / name for name in (".backup.before", ".backup.old", f".other.{token}", f"backup.{token}", "backup")]
    for path in (*ours, *others):
        path.mkdir()
        os.utime(path, (time() - 2 * OLD_S,) * 2)
    (half / f".backup.{token[::-1]}").mkdir()
    assert sweep_backups(folder) == 2
    assert [path.exists() for path in (*ours, *others)] == [False] * 2 + [True] * 5
    assert (half / f".backup.{token[::-1]}").exists()
