"""The pictures of a visit over HTTP: who sees which, and an answer from one of them."""

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from vouchbook.library.keeping.removal import hide, remove
from vouchbook.library.open import Library
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft, Picture
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Clients = Callable[[str], TestClient]
KEEPS, OTHERS = ("archivist", "administrator"), ("officer", "reviewer")
BYTES = {"9250.jpg": b"the cable", "19000.jpg": b"the plug", "own.jpg": b"the depot"}
HASH = {name: sha256(content).hexdigest() for name, content in BYTES.items()}


@pytest.fixture(autouse=True)
def pictured(library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft, tmp_path: Path) -> None:
    """A visit of three stills, two of which the draft has for its items, and a recording that is none."""
    files = []
    for name, content in {**BYTES, "walk.mp4": b"a film"}.items():
        (tmp_path / name).write_bytes(content)
        files.append(File(path=tmp_path / name, role="still" if name in BYTES else "recording"))
    pictures = (Picture(shows="i2", file="talk.stills/9250.jpg"), Picture(shows="q1", file="talk.stills/19000.jpg"))
    bring(library, staff["officer"], visit, draft.model_copy(update={"pictures": pictures}), files)


def names(client: TestClient) -> list[str]:
    answer = client.get("/drafts/1/stills")
    assert answer.status_code == 200, answer.text
    return [one["name"] for one in answer.json()]


def test_the_stills_are_listed_with_what_they_show(script: Clients) -> None:
    assert script("reviewer").get("/drafts/1/stills").json() == [
        {"sha256": HASH["9250.jpg"], "name": "9250.jpg", "at_s": 9.25, "shows": ["i2"]},
        {"sha256": HASH["19000.jpg"], "name": "19000.jpg", "at_s": 16.75, "shows": ["q1"]},
        {"sha256": HASH["own.jpg"], "name": "own.jpg", "at_s": None, "shows": []},
    ]


def test_nobody_sees_them_who_is_not_signed_in(nobody: TestClient) -> None:
    assert nobody.get("/drafts/1/stills").status_code == 401


def test_what_is_hidden_is_for_those_who_keep_and_what_was_removed_for_nobody(
    library: Library, script: Clients, staff: dict[str, Actor]
) -> None:
    with library.work(staff["archivist"]) as work:
        hide(work, HASH["9250.jpg"], "consent withdrawn")
        remove(work, HASH["own.jpg"], "consent withdrawn")
    for part in KEEPS:
        assert names(script(part)) == ["9250.jpg", "19000.jpg"]
    for part in OTHERS:
        assert names(script(part)) == ["19000.jpg"]
        assert HASH["9250.jpg"] not in script(part).get("/drafts/1/stills").text


def test_a_question_is_answered_from_one_of_them(script: Clients, seen: Callable[[Any], dict[str, str]]) -> None:
    one = script("reviewer")
    still = one.get("/drafts/1/stills").json()[2]
    assert one.get(f"/media/{still['sha256']}").content == BYTES["own.jpg"]
    answer = {"outcome": "answered", "still_sha256": still["sha256"], "spot": {"x": 0.5, "y": 0.25}}
    settled = one.put("/questions/2/settlement", json=answer, headers=seen(one.get("/questions/2")))
    assert settled.status_code == 200, settled.text
    assert settled.json()["settlements"][-1]["still_sha256"] == still["sha256"]
