"""The real server over loopback: events as they come about, kill -9 in the midst of a task, and a quiet end."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

import httpx2
import pytest
from sqlalchemy import func, select

from vouchbook.library.audit.journal import verify
from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.store.tables import DraftRow
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.people import THE_LIBRARY, Actor
from vouchbook.models.visits import Visit

CAPTIONS = b"WEBVTT\n\n00:01.000 --> 00:05.000\nRemove the two ten millimetre bolts from the cover.\n"
SERVES = """
import signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)  # who runs the tests in the background has it ignored
from datetime import timedelta
from vouchbook.library.queue import tasks, workers
tasks.LEASE = timedelta(seconds=3)  # what a killed server had is free sooner
workers.LOOKS_EVERY_S = 0.5
from vouchbook.library.queue import kinds
from vouchbook.cli.main import main
listen = kinds.listen

def slow(library, arguments, told):
    told(0.3, "listening")
    if sys.argv[1] == "listening":
        time.sleep(600)
    write = listen(library, arguments, lambda share, what: None)
    def slow_write(work):
        result = write(work)
        print("written", flush=True)
        time.sleep(600)
        return result
    return slow_write if sys.argv[1] == "writing" else write

kinds.KINDS[kinds.LISTEN] = slow
main(["serve", "--port", "0", *sys.argv[2:]])
"""


class Event(NamedTuple):
    number: int
    name: str
    task: dict[str, Any]


class Served(NamedTuple):
    process: "subprocess.Popen[str]"
    client: httpx2.Client


@pytest.fixture
def prepared(where: str, media: Path, visit: Visit) -> str:
    """A visit with captions in the library; gives the token of an officer."""
    with open_library(where, media=media) as library:
        with library.work(THE_LIBRARY) as work:
            officer = add_person(work, "olin", "Olin", ["officer", "reviewer", "archivist"])
        (media.parent / "talk.vtt").write_bytes(CAPTIONS)
        stored = library.media.add(media.parent / "talk.vtt")
        with library.work(Actor(person=officer.id, login="olin")) as work:
            attach(work, add_visit(work, visit), stored, "captions", "talk.vtt")
            return make_token(work, "test")[1]


@pytest.fixture
def serve(where: str, media: Path, prepared: str) -> Callable[[str], Any]:
    @contextmanager
    def begin(slow_at: str) -> Iterator[Served]:
        command = [sys.executable, "-c", SERVES, slow_at, "--library", where, "--media", str(media)]
        command += ["--exports", str(media.parent / "exports")]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        try:
            address = process.stdout.readline().strip()
            headers = {"authorization": f"Bearer {prepared}"}
            with httpx2.Client(base_url=address, headers=headers, timeout=60) as client:
                yield Served(process, client)
        finally:
            process.kill()
            process.wait(30)
            process.stdout.close()

    return begin


def follow(client: httpx2.Client, task: int, last: int = 0) -> Iterator[Event]:
    """The events of a task, behind the number of the last one that came."""
    with client.stream("GET", f"/tasks/{task}/events", headers={"last-event-id": str(last)}) as answer:
        assert answer.headers["content-type"].startswith("text/event-stream")
        fields: dict[str, str] = {}
        for line in answer.iter_lines():
            name, _, value = line.partition(": ")
            if line:
                fields[name] = value
            elif "data" in fields:
                yield Event(int(fields["id"]), fields["event"], json.loads(fields["data"]))
                fields = {}


@pytest.mark.parametrize("moment", ["listening", "writing"])
def test_a_task_survives_kill_9_and_is_written_once(
    serve: Callable[[str], Any], where: str, media: Path, moment: str
) -> None:
    """Killed while it listens, and when all is written and nothing is committed."""
    with serve(moment) as (process, client):
        task = client.post("/visits/1/listening", json={}).json()["id"]
        events = follow(client, task)
        last = next(event for event in events if event.task["state"] == "running")
        if moment == "writing":
            assert process.stdout.readline() == "written\n"
        os.kill(process.pid, signal.SIGKILL)
        process.wait(30)
    with serve("") as (_, client):
        later = list(follow(client, task, last.number))
        assert [event.name for event in later][-1] == "done"
        assert min(event.number for event in later) > last.number
        assert later[-1].task["attempts"] == 2
        assert [draft["state"] for draft in client.get("/visits/1").json()["drafts"]] == ["open"]
        assert list(follow(client, task, later[-1].number)) == []
    with open_library(where, media=media) as library, library.reading() as session:
        assert session.scalar(select(func.count()).select_from(DraftRow)) == 1
        assert verify(session) is None


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_a_server_ends_when_it_is_asked_to_though_somebody_follows_a_task(
    serve: Callable[[str], Any], how: signal.Signals
) -> None:
    with serve("") as (process, client):
        task = client.post("/visits/1/listening", json={}).json()["id"]
        assert [event.name for event in follow(client, task)][-1] == "done"
        draft = client.get("/visits/1").json()["drafts"][0]["id"]
        with client.stream("GET", f"/drafts/{draft}/events") as answer:
            assert next(answer.iter_lines()) == "retry: 2000"
            os.kill(process.pid, how)
            assert process.wait(30) == (-signal.SIGTERM if how is signal.SIGTERM else 130)


def test_two_servers_work_on_one_library(serve: Callable[[str], Any], where: str, media: Path) -> None:
    with serve("") as (_, one), serve("") as (_, other):
        task = one.post("/visits/1/listening", json={}).json()["id"]
        assert [event.name for event in follow(other, task)][-1] == "done"
        assert one.get("/visits/1").json() == other.get("/visits/1").json()
        with other.stream("GET", "/drafts/1/events") as answer:
            told = (json.loads(line[6:]) for line in answer.iter_lines() if line.startswith("data: "))
            assert next(told)["items"].keys() == {"open"}
            rejected = {"verdict": "rejected", "reason": "duplicate"}
            assert one.post("/items/1/decisions", json=rejected, headers={"if-match": '"v1"'}).status_code == 201
            assert next(told)["items"].get("waits for a second person") == 1  # who decided also asked for the draft
    with open_library(where, media=media) as library, library.reading() as session:
        assert verify(session) is None


def test_a_visit_goes_out_as_an_archive_that_can_be_fetched_from_each_server(serve: Callable[[str], Any]) -> None:
    with serve("") as (_, one), serve("") as (_, other):
        task = one.post("/exports", json={"visit_id": 1}).json()["id"]
        event = list(follow(other, task))[-1]
        assert event.name == "done", event
        content = other.get(f"/exports/{event.task['result']['name']}").content
        assert sha256(content).hexdigest() == event.task["result"]["sha256"]


def test_an_address_that_is_taken_is_told(
    serve: Callable[[str], Any], library: Library, where: str, media: Path
) -> None:
    del library
    with serve("") as (_, client):
        command = [sys.executable, "-m", "vouchbook", "serve", "--library", where, "--media", str(media)]
        port = str(client.base_url.port)
        done = subprocess.run([*command, "--port", port], capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 2
    assert done.stdout == ""
    assert f"--port {port}: cannot listen there" in done.stderr
