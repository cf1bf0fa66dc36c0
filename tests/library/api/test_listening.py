"""Real sound, from a recorder to the table: sent in parts, heard in the background, followed to its end."""

import io
import json
import time
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import av
import pytest
from starlette.testclient import TestClient

from vouchbook.api.app import make_app
from vouchbook.api.settings import PREFIX, ServerSettings
from vouchbook.library.open import Library
from vouchbook.library.people.tokens import make_token
from vouchbook.library.queue.workers import worker_of
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

DEMO = Path(__file__).parents[3] / "demo_audio" / "delivery-van.ogg"
FROM_S, TO_S = 73.0, 95.0  # leads come off, with a spanner of a size; bolts come out
PART = 1 << 16


@pytest.fixture
def sound() -> bytes:
    """A stretch of the demo, as it was recorded: its packets, not made anew."""
    kept = io.BytesIO()
    with av.open(str(DEMO)) as whole, av.open(kept, "w", format="ogg") as part:
        stream = part.add_stream_from_template(whole.streams.audio[0])
        for packet in whole.demux(whole.streams.audio[0]):
            if packet.pts is not None and FROM_S <= float(packet.pts * packet.time_base) < TO_S:
                packet.pts -= int(FROM_S / packet.time_base)
                packet.dts = packet.pts
                packet.stream = stream
                part.mux(packet)
    return kept.getvalue()


@pytest.fixture
def officer(library: Library, staff: dict[str, Actor], visit: Visit) -> Iterator[TestClient]:
    """At a server that does its background work, with a visit that has no files yet."""
    with library.work(staff["officer"]) as work:
        add_visit(work, visit)
        secret = make_token(work, "recorder")[1]
    app = make_app(library, ServerSettings(hosts=("testserver",)), worker_of(library))
    with TestClient(
        app, base_url=f"http://testserver{PREFIX}", headers={"authorization": f"Bearer {secret}"}
    ) as client:
        yield client


def send(officer: TestClient, content: bytes) -> None:
    begun = officer.post("/uploads", json={"name": "van.ogg", "size_bytes": len(content)})
    address = begun.headers["location"].removeprefix(PREFIX)
    for at in range(0, len(content), PART):
        part = officer.patch(address, content=content[at : at + PART], headers={"upload-offset": str(at)})
        assert part.status_code == 200
    whole = {"sha256": sha256(content).hexdigest(), "visit_id": 1, "role": "recording"}
    assert officer.post(f"{address}/finish", json=whole).status_code == 200


@pytest.mark.sound
def test_a_recording_that_was_sent_is_heard_and_comes_to_the_table(officer: TestClient, sound: bytes) -> None:
    send(officer, sound)
    task = officer.post("/visits/1/listening", json={"model": "tiny.en"}).json()
    told: list[tuple[str, float]] = []
    for _ in range(100):  # a stream ends after a while; who follows comes back with the number of the last event
        with officer.stream("GET", f"/tasks/{task['id']}/events") as answer:
            names = ""
            for line in answer.iter_lines():
                field, _, value = line.partition(": ")
                names = value if field == "event" else names
                if field == "data":
                    told.append((names, json.loads(value)["progress"]))
        if told[-1][0] != "progress":
            break
        time.sleep(0.1)
    assert told[-1] == ("done", 1.0), officer.get(f"/tasks/{task['id']}").json()
    assert [progress for _, progress in told] == sorted(progress for _, progress in told)
    result = officer.get(f"/tasks/{task['id']}").json()["result"]
    items = officer.get(f"/drafts/{result['draft_id']}/items").json()
    assert len(items) == result["items"] > 0
    assert any("spanner" in json.dumps(item) or "bolt" in json.dumps(item) for item in items)
    source = officer.get(f"/drafts/{result['draft_id']}/document").json()["transcript"]["sources"][0]
    assert (source["name"], source["sha256"]) == ("van.ogg", sha256(sound).hexdigest())
    sentences = officer.get("/visits/1/sentences").json()
    assert {one["sha256"] for one in sentences} == {source["sha256"]}
    assert officer.get(f"/media/{source['sha256']}").content == sound
