"""Naming those who are heard over HTTP: with the visit, after its draft came, and put right."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from vouchbook.models.draft import Draft

Clients = Callable[[str], TestClient]
Seen = Callable[[Any], dict[str, str]]
DOV = {"name": "Dov Almar", "part": "technician", "voice": "Dov"}
RUTA = {"name": "Ruta Venn", "part": "officer", "voice": "Ruta"}


@pytest.fixture
def visit(script: Clients, draft: Draft) -> str:
    """The address of a visit that came with its draft over HTTP, and of which nobody said who is heard."""
    officer = script("officer")
    made = officer.post("/visits", json={"subject": {"kind": "loader"}, "held_on": "2031-03-01"})
    address: str = made.headers["location"].removeprefix("/api/v1")
    assert officer.post(f"{address}/drafts", json=draft.model_dump(mode="json")).status_code == 201
    return address


@pytest.mark.parametrize("part", ["officer", "archivist", "administrator"])
def test_who_was_forgotten_is_named_and_then_asked(script: Clients, visit: str, part: str, seen: Seen) -> None:
    client = script(part)
    made = client.post(f"{visit}/participants", json=DOV)
    assert (made.status_code, made.json()["participant"]) == (201, DOV)
    address = made.headers["location"].removeprefix("/api/v1")
    again = client.post(f"{visit}/participants", json=DOV)
    assert (again.headers["location"], again.headers["etag"]) == (made.headers["location"], made.headers["etag"])
    looked = client.get(address)
    assert (seen(looked), looked.json()) == (seen(made), made.json())
    given = client.post(f"{address}/consents", json={"covers": ["voice", "name", "picture"]})
    assert (given.status_code, sorted(given.json()["agreed"])) == (201, ["name", "picture", "voice"])
    assert client.get(visit).json()["visit"]["participants"] == [DOV]
    (standing,) = client.get(f"{visit}/consents").json()
    assert standing == client.get(address).json()


def test_a_correction_names_what_was_seen(script: Clients, visit: str, seen: Seen) -> None:
    one, two = script("officer"), script("archivist")
    address = one.post(f"{visit}/participants", json=DOV | {"name": "Dof Almar"}).headers["location"][7:]
    looked = seen(two.get(address))
    for headers, status in (({}, 428), ({"if-match": "*"}, 428), ({"if-match": '"v1"'}, 412)):
        assert one.put(address, json=DOV, headers=headers).status_code == status
    done = one.put(address, json=DOV, headers=looked)
    assert (done.status_code, done.json()["participant"]) == (200, DOV)
    late = two.put(address, json=RUTA, headers=looked)
    assert (late.status_code, late.json()["type"]) == (412, "/problems/changed")
    assert two.put(address, json=DOV | {"part": "other"}, headers=seen(done)).json()["participant"]["part"] == "other"


def test_what_somebody_said_meanwhile_is_seen_before_they_are_renamed(script: Clients, visit: str, seen: Seen) -> None:
    officer = script("officer")
    made = officer.post(f"{visit}/participants", json=DOV)
    address = made.headers["location"].removeprefix("/api/v1")
    officer.post(f"{address}/withdrawals", json={"covers": ["name"], "removes": False})
    assert officer.put(address, json=RUTA, headers=seen(made)).status_code == 412
    refused = officer.put(address, json=RUTA, headers=seen(officer.get(address)))
    assert (refused.status_code, "was withdrawn" in refused.json()["detail"]) == (409, True)


@pytest.mark.parametrize(
    ("part", "address", "body", "status"),
    [
        pytest.param("reviewer", "/visits/1/participants", DOV, 403, id="not-by-a-reviewer"),
        pytest.param("officer", "/visits/9/participants", DOV, 404, id="no-such-visit"),
        pytest.param("officer", "/visits/1/participants", RUTA | {"voice": "Dov"}, 409, id="one-voice-twice"),
        pytest.param("officer", "/visits/1/participants", DOV | {"part": "driver"}, 422, id="no-such-part"),
        pytest.param("officer", "/visits/1/participants", DOV | {"name": "\x01"}, 422, id="control-character"),
        pytest.param("officer", "/visits/1/participants", DOV | {"name": "\0"}, 400, id="nul"),
        pytest.param("officer", "/visits/1/participants", DOV | {"age": 7}, 422, id="something-unknown"),
    ],
)
def test_a_name_that_cannot_be_written_down_changes_nothing(
    script: Clients, visit: str, part: str, address: str, body: dict[str, object], status: int
) -> None:
    assert script("officer").post(f"{visit}/participants", json=DOV).status_code == 201
    assert script(part).post(address, json=body).status_code == status
    assert script("officer").get(visit).json()["visit"]["participants"] == [DOV]


def test_years_that_go_down_are_told_in_our_own_words(script: Clients) -> None:
    subject = {"kind": "loader", "years_from": 2031, "years_to": 2029}
    answer = script("officer").post("/visits", json={"subject": subject, "held_on": "2031-03-01"})
    assert answer.status_code == 422
    assert answer.json()["detail"] == "body > subject: the years go from 2031 to 2029"


def test_a_kind_that_is_none_is_told_over_http(script: Clients) -> None:
    answer = script("officer").get("/search", params={"q": "plug", "kind": "zzz"})
    assert (answer.status_code, answer.json()["notes"]) == (
        200, ["kind:zzz is not a kind that can be read; it was left out."],
    )  # fmt: skip
