"""Killed, full, locked, set back, cut off: what was acknowledged is there, and what is there is sound."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.backup import back_up, restore
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.consent import withdraw
from vouchbook.library.keeping.whole import export_library
from vouchbook.library.open import Library, open_library
from vouchbook.library.store.disk import OLD_S
from vouchbook.library.store.tables import DraftRow, VisitRow
from vouchbook.library.visits.bring import File, bring
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.draft import Draft
from vouchbook.models.errors import MediaError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
ADDS = """
import os, sys
from datetime import date
from pathlib import Path
from vouchbook.library.open import open_library
from vouchbook.library.visits.bring import File, bring
from vouchbook.library.visits.visits import new_key
from vouchbook.models.draft import draft_from_json
from vouchbook.models.people import Actor
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Visit

where, media, text, source = sys.argv[1:]
with open_library(where, media=Path(media)) as library:
    draft = draft_from_json(Path(text).read_text(), "draft")
    print("ready", flush=True)
    for number in range(100_000):
        Path(source).write_bytes(os.urandom(300_000))
        visit = Visit(key=new_key(), subject=Subject(kind="loader"), held_on=date(2031, 3, 1))
        one = draft.model_copy(update={"subject": visit.key})
        bring(library, Actor(person=2, login="olin"), visit, one, [File(path=Path(source), role="recording")])
        print(visit.key, flush=True)
"""
BACKS_UP = """
import sys
from pathlib import Path
from vouchbook.library.keeping.backup import back_up
from vouchbook.library.open import open_library

with open_library(sys.argv[1], media=Path(sys.argv[2])) as library:
    print("ready", flush=True)
    while True:
        done = back_up(library, Path(sys.argv[3]))
        print(done.head.seq, flush=True)
"""
ON_SQLITE = pytest.mark.parametrize("where", ["sqlite"], indirect=True)


def started(code: str, *arguments: object) -> "subprocess.Popen[str]":
    child = subprocess.Popen([sys.executable, "-c", code, *map(str, arguments)], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n"
    return child


def killed_after(child: "subprocess.Popen[str]", seconds: float) -> list[str]:
    """What the child acknowledged before it was killed, in whole lines."""
    time.sleep(seconds)
    os.kill(child.pid, signal.SIGKILL)
    out, _ = child.communicate(timeout=60)
    return [line for line in out.splitlines(keepends=True) if line.endswith("\n")]


@pytest.mark.parametrize("seed", range(4))
def test_what_was_added_before_a_kill_is_there_once_and_sound(
    library: Library, staff: Staff, where: str, media: Path, draft: Draft, tmp_path: Path, *, seed: int
) -> None:
    assert staff
    (tmp_path / "draft.json").write_text(draft.to_json())
    child = started(ADDS, where, media, tmp_path / "draft.json", tmp_path / "source.mp4")
    told = [line.strip() for line in killed_after(child, Random(seed).uniform(0.05, 1.5))]  # noqa: S311
    with library.reading() as session:
        keys = session.scalars(select(VisitRow.key)).all()
        assert set(told) <= set(keys)
        assert len(keys) - len(told) <= 1
        assert len(keys) == len(set(keys)) == len(session.scalars(select(DraftRow.id)).all())
        assert verify(session) is None
    report = check(library)
    assert report.wrong() == ()
    assert sum(len(finding.odd) for finding in report.findings) <= 1
    with library.work(staff["archivist"]) as work:
        work.journal("looked", "library", "after the kill")
    assert check(library).is_sound


@pytest.mark.parametrize("seed", range(5))
def test_a_killed_backup_leaves_a_whole_one(
    library: Library, staff: Staff, where: str, media: Path, visit_id: int, tmp_path: Path, *, seed: int
) -> None:
    """Work goes on meanwhile, and withdrawals take media away; from a bag that is being made nothing may go."""
    assert visit_id == 1
    first = back_up(library, tmp_path / "backup").head
    child = started(BACKS_UP, where, media, tmp_path / "backup")
    stop = threading.Event()

    def work_on() -> None:
        while not stop.is_set():
            stored = library.media.add(_random_file(tmp_path))
            with library.work(staff["officer"]) as work:
                attach(work, 1, stored, "recording", "talk.mp4")
            withdraw(library, staff["archivist"], 1, ["voice"], removes="://" not in where)

    worker = threading.Thread(target=work_on)
    worker.start()
    try:
        told = killed_after(child, Random(seed).uniform(0.05, 1.0))  # noqa: S311
    finally:
        stop.set()
        worker.join()
    report = restore(tmp_path / "backup", tmp_path / "restored")
    assert report.wrong() == ()
    with open_library(tmp_path / "restored") as again, again.reading() as session:
        last = max(entry.seq for entry in entries(session) if entry.act not in ("moved in", "restored"))
        assert last >= max([first.seq, *map(int, told)])
    assert back_up(library, tmp_path / "backup").head.seq >= last
    assert restore(tmp_path / "backup", tmp_path / "again").is_sound
    _grow_old(tmp_path.glob(".backup.*"))
    back_up(library, tmp_path / "backup")
    assert list(tmp_path.glob(".backup.*")) == []


def _grow_old(left: Iterable[Path]) -> None:
    for top in left:
        for path in (*top.rglob("*"), top):
            os.utime(path, (time.time() - 2 * OLD_S,) * 2)


def _random_file(folder: Path) -> Path:
    path = folder / "random.mp4"
    path.write_bytes(os.urandom(50_000))
    return path


@ON_SQLITE
@pytest.mark.parametrize("size", [1, 5_000, 20_000])
def test_a_full_disk_stops_a_backup_and_the_last_one_stays(
    library: Library, staff: Staff, visit: Visit, visit_id: int, tmp_path: Path, full_at: Callable[[int], None], *,
    size: int,
) -> None:  # fmt: skip
    assert visit_id == 1
    end = back_up(library, tmp_path / "backup").head
    with library.work(staff["officer"]) as work:
        add_visit(work, visit.model_copy(update={"key": new_key()}))
    full_at(size)
    with pytest.raises(StoreError, match=r"cannot be written|full"):
        back_up(library, tmp_path / "backup")
    with pytest.raises(StoreError, match=r"cannot be written|full"):
        back_up(library, tmp_path / "new")
    with pytest.raises(StoreError, match=r"cannot be written|full"):
        export_library(library, tmp_path / "bag")
    full_at(0)
    assert not (tmp_path / "bag").exists()
    assert not (tmp_path / "new" / "library.db").exists()
    assert not (tmp_path / "backup" / "library.db.new").exists()
    report = restore(tmp_path / "backup", tmp_path / "restored")
    assert (report.is_sound, report.head.seq) == (True, end.seq + 1)


def test_a_full_disk_stops_an_addition_and_nothing_of_it_stays(
    library: Library, staff: Staff, visit: Visit, draft: Draft, tmp_path: Path, full_at: Callable[[int], None]
) -> None:
    path = tmp_path / "talk.mp4"
    path.write_bytes(os.urandom(2_000_000))
    full_at(1_000_000)
    with pytest.raises((StoreError, MediaError), match=r"cannot be written|full"):
        bring(library, staff["officer"], visit, draft, [File(path=path, role="recording")])
    full_at(0)
    with library.reading() as session:
        assert session.scalars(select(VisitRow)).all() == []
    report = check(library)
    assert (report.is_sound, [finding.odd for finding in report.findings if finding.odd]) == (True, [])
    assert bring(library, staff["officer"], visit, draft, [File(path=path, role="recording")]).is_new


@ON_SQLITE
def test_a_backup_does_not_wait_for_who_writes(library: Library, staff: Staff, visit_id: int, tmp_path: Path) -> None:
    """What is not committed yet is not in it."""
    assert visit_id == 1
    with library.work(staff["archivist"]) as work:
        work.journal("looked", "library", "1")
        done = back_up(library, tmp_path / "backup")
        entry = work.journal("looked", "library", "2")
    assert done.head.seq == entry.seq - 2
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound


def test_a_library_that_is_locked_says_busy_and_a_bag_is_made_all_the_same(
    library: Library, where: str, media: Path, staff: Staff, visit: Visit, tmp_path: Path
) -> None:
    with open_library(where, media=media, busy_s=0.2) as other, library.work(staff["archivist"]):
        with pytest.raises(StoreError, match="busy"), other.work(staff["officer"]) as work:
            add_visit(work, visit)
        export_library(other, tmp_path / "bag")
        assert check(other).is_sound
    assert restore(tmp_path / "bag", tmp_path / "restored").is_sound


def test_a_clock_that_goes_back_breaks_nothing(
    library: Library, staff: Staff, visit_id: int, tmp_path: Path, clock: object
) -> None:
    assert visit_id == 1
    back_up(library, tmp_path / "first")
    clock.at -= timedelta(days=4000)  # type: ignore[attr-defined]
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    back_up(library, tmp_path / "second")
    with library.reading() as session:
        told = [entry.body.get("clock_behind_s") for entry in entries(session)]
        assert any(told)
        assert verify(session) is None
    assert check(library).is_sound
    assert restore(tmp_path / "second", tmp_path / "restored").is_sound
