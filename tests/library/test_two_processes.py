"""Two servers on one library: every visit that one acknowledged is there, once, and the journal is one chain."""

import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.open import Library
from vouchbook.library.store.tables import SubjectRow, VisitRow
from vouchbook.models.people import Actor

SERVER = """
import sys
from datetime import date
from pathlib import Path
from vouchbook.library.open import open_library
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.people import Actor
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Visit

officer = Actor(person=2, login="olin")
with open_library(sys.argv[1], media=Path(sys.argv[2])) as library:
    print("ready", flush=True)
    sys.stdin.readline()
    for number in range(int(sys.argv[3])):
        subject = Subject(kind="loader", model=f"L{number % 3}")
        visit = Visit(key=new_key(), subject=subject, held_on=date(2031, 3, 1), note=sys.argv[4])
        with library.work(officer) as work:
            add_visit(work, visit)
        print(visit.key, flush=True)
    print("done", flush=True)
    sys.stdin.readline()
"""
EACH = 40


def start(where: str, media: Path, name: str, number: int = EACH) -> "subprocess.Popen[str]":
    command = [sys.executable, "-c", SERVER, where, str(media), str(number), name]
    child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n"
    return child


def go(child: "subprocess.Popen[str]") -> None:
    assert child.stdin is not None
    child.stdin.write("go\n")
    child.stdin.flush()


@pytest.mark.usefixtures("staff")
def test_two_at_once_lose_nothing(library: Library, where: str, media: Path) -> None:
    servers = [start(where, media, name) for name in ("one", "two")]
    for server in servers:
        go(server)
    told = [server.communicate("bye\n", timeout=120)[0].split() for server in servers]
    assert [(len(words), words[-1]) for words in told] == [(EACH + 1, "done")] * 2
    with library.reading() as session:
        keys = session.scalars(select(VisitRow.key)).all()
        assert sorted(keys) == sorted(told[0][:-1] + told[1][:-1])
        assert len(session.scalars(select(SubjectRow)).all()) == 3
        assert verify(session) is None
        added = [entry.body["key"] for entry in entries(session) if entry.what == "visit"]
        assert sorted(added) == sorted(keys)


@pytest.mark.parametrize("lines", [1, 7, 23])
def test_what_was_acknowledged_before_a_kill_is_there(
    library: Library, where: str, media: Path, staff: dict[str, Actor], lines: int
) -> None:
    server = start(where, media, "killed", 100_000)
    go(server)
    assert server.stdout is not None
    acknowledged = [server.stdout.readline().strip() for _ in range(lines)]
    server.kill()
    acknowledged += server.communicate(timeout=60)[0].split()[:-1]  # the last line may be half a key
    with library.work(staff["officer"]) as work:
        work.journal("looked", "setting", "after the kill")
    with library.reading() as session:
        keys = session.scalars(select(VisitRow.key)).all()
        assert set(acknowledged) <= set(keys)
        assert len(keys) == len(set(keys))
        added = [entry.body["key"] for entry in entries(session) if entry.what == "visit"]
        assert sorted(added) == sorted(keys)
        assert verify(session) is None
