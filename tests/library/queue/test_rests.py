"""What an export leaves half made: nothing where it failed, and nothing for long where it was killed."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from time import time
from typing import Any, Protocol

import pytest
from starlette.testclient import TestClient

from vouchbook.api.app import make_app
from vouchbook.api.settings import ServerSettings
from vouchbook.library.audit.journal import entries
from vouchbook.library.open import Library
from vouchbook.library.people.people import set_roles
from vouchbook.library.queue.exports import exported, leaving
from vouchbook.library.queue.keeping import EXPORT, export_to, sweep_exports
from vouchbook.library.queue.kind import Told, Write
from vouchbook.library.queue.kinds import kinds_of
from vouchbook.library.queue.run import do_next
from vouchbook.library.queue.tasks import LEASE, Task, enqueue, task
from vouchbook.library.store.disk import OLD_S
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft
from vouchbook.models.errors import StoreError
from vouchbook.models.people import THE_LIBRARY, Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
FILM = os.urandom(300_000)
EXPORTS = """
import sys, time
from pathlib import Path
from vouchbook.library.open import open_library
from vouchbook.library.queue.keeping import export_to

def told(share, what):
    if what == sys.argv[4]:
        print("ready", flush=True)
        time.sleep(600)

with open_library(sys.argv[1], media=Path(sys.argv[2])) as library:
    export_to(Path(sys.argv[3]), library, {"name": "library-00000000000000aa.zip"}, told)
"""


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "exports"


@pytest.fixture
def visit_id(library: Library, staff: Staff, visit: Visit, draft: Draft, tmp_path: Path) -> int:
    (tmp_path / "walk.mp4").write_bytes(FILM)
    return bring(library, staff["officer"], visit, draft, [File(path=tmp_path / "walk.mp4", role="recording")]).visit_id


def asked(library: Library, who: Actor, visit_id: int | None) -> int:
    with library.work(who) as work:
        return enqueue(work, EXPORT, leaving(work, visit_id).model_dump(mode="json")).id


def look(library: Library, number: int) -> Task:
    with library.reading() as session:
        return task(session, number)


def names(folder: Path) -> list[str]:
    """Everything in the folder for exports, but the folder in which they are made."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.name != ".making")


def grow_old(folder: Path) -> None:
    for path in (folder, *folder.rglob("*")):
        os.utime(path, (time() - 2 * OLD_S,) * 2)


def test_an_export_leaves_its_archive_alone(library: Library, staff: Staff, folder: Path, visit_id: int) -> None:
    for who, number in (("archivist", visit_id), ("administrator", None)):
        assert do_next(library, "one", asked(library, staff[who], number), kinds_of(folder))
    with library.reading() as session:
        assert names(folder) == sorted(one.name for one in exported(session, folder))
    assert len(names(folder)) == 2


@pytest.mark.parametrize("size", [20_000, 310_000], ids=["while-it-is-copied", "while-it-is-packed"])
def test_a_full_disk_leaves_nothing(
    library: Library, staff: Staff, folder: Path, visit_id: int, full_at: Callable[[int], None], size: int
) -> None:
    assert (len(staff), visit_id) == (5, 1)
    wanted = {"name": "library-00000000000000aa.zip"}
    full_at(size)
    with pytest.raises(StoreError, match="cannot be written"):
        export_to(folder, library, wanted, lambda _share, _what: None)
    full_at(0)
    assert names(folder) == []


def test_a_damaged_medium_leaves_nothing(library: Library, staff: Staff, folder: Path, visit_id: int) -> None:
    (path,) = (path for path in library.media.folder.glob("??/*") if path.is_file())
    path.chmod(0o600)
    path.write_bytes(b"other")
    number = asked(library, staff["archivist"], visit_id)
    assert do_next(library, "one", number, kinds_of(folder))
    assert "its file holds other bytes" in look(library, number).message
    assert names(folder) == []


def test_who_may_no_longer_have_it_leaves_nothing(library: Library, staff: Staff, folder: Path, visit_id: int) -> None:
    """Roles that somebody lost while it was being made count when it is named."""
    number = asked(library, staff["archivist"], visit_id)
    with library.work(THE_LIBRARY) as work:
        set_roles(work, staff["archivist"].person or 0, ["officer"])
    assert do_next(library, "one", number, kinds_of(folder))
    assert "only an archivist or an administrator" in look(library, number).message
    assert names(folder) == []


@pytest.mark.parametrize("what", ["copying", "packing"])
def test_what_a_kill_left_is_swept_when_it_is_a_day_old(
    library: Library, where: str, staff: Staff, folder: Path, visit_id: int, what: str
) -> None:
    code = [sys.executable, "-c", EXPORTS, where, str(library.media.folder), str(folder), what]
    child = subprocess.Popen(code, stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n"
    os.kill(child.pid, signal.SIGKILL)
    child.communicate(timeout=60)
    left = names(folder)
    assert left
    assert sweep_exports(folder) == 0
    assert names(folder) == left
    grow_old(folder / ".making")
    assert do_next(library, "one", asked(library, staff["archivist"], visit_id), kinds_of(folder))
    with library.reading() as session:
        assert names(folder) == [one.name for one in exported(session, folder)]


def test_a_server_sweeps_and_lets_archives_be(library: Library, staff: Staff, folder: Path, visit_id: int) -> None:
    assert do_next(library, "one", asked(library, staff["archivist"], visit_id), kinds_of(folder))
    there = names(folder)
    (folder / ".making" / "visit-00000000000000aa-0" / "data").mkdir(parents=True)
    (folder / ".making" / "visit-00000000000000bb.zip").write_bytes(b"half")
    grow_old(folder)
    with TestClient(make_app(library, ServerSettings(exports=folder))):
        pass
    assert names(folder) == there


def test_what_another_server_is_making_stays(library: Library, staff: Staff, folder: Path, visit_id: int) -> None:
    """It began long ago and copies on: whoever exports or starts meanwhile takes nothing away from it."""
    number, inside = asked(library, staff["archivist"], visit_id), asked(library, staff["administrator"], None)
    kinds = kinds_of(folder)

    def slow(library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
        def meanwhile(share: float, what: str) -> None:
            told(share, what)
            if what == "packing":
                grow_old(folder / ".making")
                for path in (folder / ".making").glob("visit-*/*/data/media/??/*"):
                    os.utime(path)
                assert do_next(library, "two", inside, kinds)

        return kinds[EXPORT](library, arguments, meanwhile)

    assert do_next(library, "one", number, {EXPORT: slow})
    assert [look(library, one).state for one in (number, inside)] == ["done", "done"]
    with library.reading() as session:
        assert names(folder) == sorted(one.name for one in exported(session, folder))


def test_who_lost_the_task_puts_nothing_in_the_place_of_the_other_one(
    library: Library, staff: Staff, folder: Path, visit_id: int, clock: Wound
) -> None:
    """A server stood still for longer than its lease; another made the archive and told of it."""
    number = asked(library, staff["archivist"], visit_id)
    kinds, made = kinds_of(folder), list[int]()

    def stands_still(library: Library, arguments: Mapping[str, Any], told: Told) -> Write:
        write = kinds[EXPORT](library, arguments, told)
        clock.at += 3 * LEASE
        assert do_next(library, "two", number, kinds)
        made.append((folder / arguments["name"]).stat().st_ino)
        return write

    assert do_next(library, "one", number, {EXPORT: stands_still})
    with library.reading() as session:
        (there,) = exported(session, folder)
        assert [entry.act for entry in entries(session)].count("exported") == 1
    assert (folder / there.name).stat().st_ino == made[0]
