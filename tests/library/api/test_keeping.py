"""Consent, holds and retention over HTTP; what is hidden is for nobody but those who keep the library."""

from collections.abc import Callable
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Protocol

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from vouchbook.library.open import Library
from vouchbook.library.queue.kinds import KINDS, LISTEN
from vouchbook.library.store.tables import ParticipantRow
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft
from vouchbook.models.errors import CaptionError
from vouchbook.models.people import Actor
from vouchbook.models.visits import MediumRole, Visit

Clients = Callable[[str], TestClient]
ROLES: tuple[MediumRole, ...] = ("recording", "still", "captions")
NAMES = {"recording": "walk.mp4", "still": "seat.jpg", "captions": "talk.vtt"}
BYTES = {role: f"the bytes of the {role}".encode() for role in ROLES}
HASH = {role: sha256(content).hexdigest() for role, content in BYTES.items()}
KEEPS, OTHERS = ("archivist", "administrator"), ("officer", "reviewer")


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime


@pytest.fixture
def visit_id(library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft, tmp_path: Path) -> int:
    files = []
    for role in ROLES:
        (tmp_path / NAMES[role]).write_bytes(BYTES[role])
        files.append(File(path=tmp_path / NAMES[role], role=role))
    return bring(library, staff["officer"], visit, draft, files).visit_id


@pytest.fixture
def dov(library: Library, visit_id: int) -> int:
    with library.reading() as session:
        asked = select(ParticipantRow.id).where(ParticipantRow.visit_id == visit_id, ParticipantRow.voice == "Dov")
        number = session.scalar(asked)
    assert number is not None
    return number


def test_where_people_stand_and_how_they_came_there(script: Clients, visit_id: int, dov: int) -> None:
    officer = script("officer")
    given = officer.post(f"/participants/{dov}/consents", json={"covers": ["voice", "name"], "note": "sheet 12"})
    assert (given.status_code, sorted(given.json()["agreed"])) == (201, ["name", "voice"])
    gone = officer.post(f"/participants/{dov}/withdrawals", json={"covers": ["voice"], "removes": False})
    assert gone.status_code == 201
    assert [(one["sha256"], one["what"]) for one in gone.json()["gone"]] == [(HASH["recording"], "hidden")]
    assert "Backups and bags that were made before still hold what they hold." in gone.json()["stays"]
    first = officer.get(f"/visits/{visit_id}/consents").json()[0]
    assert (first["agreed"], first["withdrawn"], len(first["history"])) == (["name"], ["voice"], 2)


@pytest.mark.parametrize(
    ("part", "body", "status"),
    [
        pytest.param("reviewer", {"covers": ["voice"], "removes": False}, 403, id="not-by-a-reviewer"),
        pytest.param("officer", {"covers": ["voice"], "removes": True}, 403, id="removal-not-by-an-officer"),
        pytest.param("archivist", {"covers": ["voice"]}, 422, id="hide-or-remove-is-said"),
        pytest.param("archivist", {"covers": [], "removes": False}, 422, id="nothing"),
        pytest.param("archivist", {"covers": ["smell"], "removes": False}, 422, id="no-such-thing"),
        pytest.param("archivist", {"covers": ["name"], "removes": False, "note": "\x01"}, 422, id="control-character"),
    ],
)
def test_a_withdrawal_that_cannot_be_changes_nothing(
    script: Clients, visit_id: int, dov: int, part: str, body: dict[str, object], status: int
) -> None:
    client = script(part)
    assert client.post(f"/participants/{dov}/withdrawals", json=body).status_code == status
    assert client.get(f"/visits/{visit_id}/consents").json()[0]["history"] == []
    assert client.get(f"/media/{HASH['recording']}").status_code == 200


@pytest.mark.parametrize(
    ("method", "headers"),
    [
        pytest.param("GET", {}, id="whole"),
        pytest.param("HEAD", {}, id="head"),
        pytest.param("GET", {"range": "bytes=0-3"}, id="range"),
        pytest.param("GET", {"range": "bytes=0-1, 4-5"}, id="ranges"),
        pytest.param("GET", {"range": "bytes=0-3", "if-range": "{tag}"}, id="range-of-what-was-seen"),
        pytest.param("GET", {"if-none-match": "{tag}"}, id="seen-before"),
        pytest.param("GET", {"if-none-match": "*"}, id="anything-seen-before"),
    ],
)
def test_what_is_hidden_is_for_those_who_keep_the_library(
    script: Clients, visit_id: int, dov: int, method: str, headers: dict[str, str]
) -> None:
    keeper = script("archivist")
    keeper.post(f"/participants/{dov}/withdrawals", json={"covers": ["picture"], "removes": False})
    media = {one["role"]: one["is_hidden"] for one in keeper.get(f"/visits/{visit_id}").json()["media"]}
    assert media == {"recording": True, "still": True, "captions": False}
    for role, is_hidden in media.items():
        sent = {name: value.format(tag=f'"{HASH[role]}"') for name, value in headers.items()}
        for part in (*KEEPS, *OTHERS):
            answer = script(part).request(method, f"/media/{HASH[role]}", headers=sent)
            if is_hidden and part in OTHERS:
                assert answer.status_code == 403
                assert HASH[role] not in answer.headers.get("etag", "")
                assert BYTES[role][:4] not in answer.content
                assert method == "HEAD" or answer.json()["type"] == "/problems/not-allowed"
            else:
                assert answer.status_code in (200, 206, 304)


def test_what_is_hidden_can_be_shown_again_and_what_was_removed_cannot(
    script: Clients, visit_id: int, dov: int
) -> None:
    keeper, reviewer = script("archivist"), script("reviewer")
    address = f"/media/{HASH['recording']}"
    assert keeper.delete(f"{address}/hiding").status_code == 409
    keeper.post(f"/participants/{dov}/withdrawals", json={"covers": ["voice"], "removes": False})
    assert reviewer.delete(f"{address}/hiding").status_code == 403
    assert reviewer.get(address).status_code == 403
    assert keeper.delete(f"{address}/hiding").status_code == 204
    assert reviewer.get(address).content == BYTES["recording"]
    gone = keeper.post(f"/participants/{dov}/withdrawals", json={"covers": ["voice"], "removes": True}).json()["gone"]
    assert [one["what"] for one in gone] == ["removed"]
    assert keeper.delete(f"{address}/hiding").status_code == 409
    assert [script(part).get(address).status_code for part in (*KEEPS, *OTHERS)] == [410] * 4
    assert keeper.get(f"/visits/{visit_id}").json()["media"][0]["is_here"] is False


def test_nobody_has_it_heard_while_it_is_hidden(script: Clients, library: Library, visit_id: int, dov: int) -> None:
    """The captions are read instead, which hold words alone."""
    script("archivist").post(f"/participants/{dov}/withdrawals", json={"covers": ["picture"], "removes": False})
    with pytest.raises(CaptionError, match=r"talk\.vtt"):
        KINDS[LISTEN](library, {"visit_id": visit_id}, lambda _share, _what: None)


def test_a_hold_keeps_what_was_to_be_removed_until_it_is_lifted(script: Clients, visit_id: int, dov: int) -> None:
    keeper, reviewer = script("archivist"), script("reviewer")
    assert reviewer.post(f"/visits/{visit_id}/holds", json={"reason": "case 7"}).status_code == 403
    assert keeper.post(f"/visits/{visit_id}/holds", json={"reason": " "}).status_code == 422
    hold = keeper.post(f"/visits/{visit_id}/holds", json={"reason": "case 7"})
    assert (hold.status_code, hold.json()["reason"], hold.json()["lifted_at"]) == (201, "case 7", None)
    keeper.post(f"/participants/{dov}/withdrawals", json={"covers": ["voice"], "removes": True})
    assert keeper.get(f"/media/{HASH['recording']}").status_code == 200
    assert keeper.post("/retention/removal", json={"media": [HASH["recording"]]}).status_code == 409
    assert reviewer.get("/holds").status_code == 403
    assert len(keeper.get("/holds", params={"visit_id": visit_id, "is_standing": True}).json()) == 1
    lifted = keeper.post(f"/holds/{hold.json()['id']}/lift").json()
    assert lifted["free"] == keeper.get("/retention/due").json()["free"] == [HASH["recording"]]
    assert keeper.post(f"/holds/{hold.json()['id']}/lift").status_code == 409
    assert keeper.get("/holds", params={"is_standing": True}).json() == []
    assert len(keeper.get("/holds").json()) == 1
    gone = keeper.post("/retention/removal", json={"media": [HASH["recording"]]}).json()
    assert [(one["sha256"], one["reason"]) for one in gone] == [(HASH["recording"], "consent withdrawn")]
    assert keeper.get(f"/media/{HASH['recording']}").status_code == 410


def test_what_the_rules_let_go_goes_when_somebody_says_so(script: Clients, visit_id: int, clock: Wound) -> None:
    del visit_id
    ada, keeper = script("administrator"), script("archivist")
    seen = ada.get("/retention")
    assert seen.json() == {"months": {}, "spares_editions": True}
    rules, tag = {"months": {"recording": 12}}, {"if-match": seen.headers["etag"]}
    assert keeper.put("/retention", json=rules, headers=tag).status_code == 403
    assert ada.put("/retention", json=rules).status_code == 428
    assert ada.put("/retention", json={"months": {"recording": 0}}, headers=tag).status_code == 422
    assert ada.put("/retention", json=rules, headers=tag).json()["months"] == {"recording": 12}
    assert ada.put("/retention", json={}, headers=tag).status_code == 412
    assert keeper.get("/retention/due").json() == {"due": [], "free": []}
    assert keeper.post("/retention/removal", json={"media": [HASH["recording"]]}).status_code == 409
    clock.at += timedelta(days=400)
    (due,) = keeper.get("/retention/due").json()["due"]
    assert (due["sha256"], due["since"], due["is_held"]) == (HASH["recording"], "2032-03-01", False)
    assert script("officer").post("/retention/removal", json={"media": [due["sha256"]]}).status_code == 403
    (gone,) = keeper.post("/retention/removal", json={"media": [due["sha256"]]}).json()
    assert gone["what"] == "removed"
    assert script("reviewer").get(f"/media/{HASH['recording']}").status_code == 410
