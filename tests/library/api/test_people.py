from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from vouchbook.models.people import Actor

Clients = Callable[[str], TestClient]


def test_an_administrator_looks_after_people(script: Clients, nobody: TestClient) -> None:
    ada = script("administrator")
    new = {"login": "mika", "name": "Mika Storr", "roles": ["officer"], "password": "eleven quiet harbours"}
    answer = ada.post("/people", json=new)
    assert answer.status_code == 201
    address = answer.headers["location"].removeprefix("/api/v1")
    assert nobody.post("/sign-in", json={"login": "mika", "password": new["password"]}).status_code == 201
    assert ada.put(f"{address}/roles", json={"roles": ["reviewer"]}).json()["roles"] == ["reviewer"]
    assert nobody.get("/me").json()["roles"] == ["reviewer"]
    assert ada.put(f"{address}/presence", json={"is_active": False}).json()["is_active"] is False
    assert nobody.get("/me").status_code == 401
    assert [one["login"] for one in ada.get("/people").json()] == ["ada", "alva", "mika", "olin", "runa", "sven"]
    assert "password" not in ada.get(address).text


@pytest.mark.parametrize("part", ["officer", "reviewer", "archivist"])
def test_nobody_else_does(script: Clients, staff: dict[str, Actor], part: str) -> None:
    client = script(part)
    me = staff[part].person
    assert client.post("/people", json={"login": "mika", "name": "Mika"}).status_code == 403
    assert client.put(f"/people/{me}/roles", json={"roles": ["administrator"]}).status_code == 403
    assert client.put(f"/people/{me}/password", json={"password": "eleven quiet harbours"}).status_code == 403
    seen = {"if-match": client.get("/department").headers["etag"]}
    assert client.put("/department", json={"is_one_person": True}, headers=seen).status_code == 403


def test_settings_are_changed_against_the_state_that_was_seen(script: Clients) -> None:
    ada = script("administrator")
    seen = ada.get("/department").headers["etag"]
    wanted = {"second_for_kinds": ["tool", "step"], "reverify_months": {"loader": 12}}
    answer = ada.put("/department", json=wanted, headers={"if-match": seen})
    assert (answer.status_code, answer.json()["reverify_months"]) == (200, {"loader": 12})
    assert answer.headers["etag"] == ada.get("/department").headers["etag"] != seen
    late = {"is_one_person": True}
    assert ada.put("/department", json=late).status_code == 428
    assert ada.put("/department", json=late, headers={"if-match": "*"}).status_code == 428
    answer = ada.put("/department", json=late, headers={"if-match": seen})
    assert (answer.status_code, answer.json()["type"]) == (412, "/problems/changed")
    assert ada.get("/department").json()["is_one_person"] is False


@pytest.mark.parametrize(
    ("change", "status"),
    [
        pytest.param({"login": "ada"}, 409, id="login-taken"),
        pytest.param({"login": "A B"}, 422, id="no-login"),
        pytest.param({"name": "<b>\x01"}, 422, id="control-character"),
        pytest.param({"roles": ["king"]}, 422, id="no-role"),
        pytest.param({"password": "short"}, 422, id="short-password"),
        pytest.param({"name": "Mi\x00ka"}, 400, id="a-character-that-no-text-has"),
        pytest.param({"name": "Mi\ud800ka"}, 422, id="half-a-character"),
        pytest.param({"colour": "green"}, 422, id="unknown-field"),
    ],
)
def test_what_cannot_be_is_told(script: Clients, change: dict[str, object], status: int) -> None:
    import json

    content = json.dumps({"login": "mika", "name": "Mika"} | change)
    answer = script("administrator").post("/people", content=content, headers={"content-type": "application/json"})
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == status


def test_the_last_administrator_stays(script: Clients, staff: dict[str, Actor]) -> None:
    answer = script("administrator").put(f"/people/{staff['administrator'].person}/presence", json={"is_active": False})
    assert answer.status_code == 403
    assert "no administrator" in answer.json()["detail"]
