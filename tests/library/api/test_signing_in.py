import json
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Protocol

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from vouchbook.api.app import make_app
from vouchbook.api.settings import PREFIX, ServerSettings
from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import set_password
from vouchbook.models.people import THE_LIBRARY, Actor

PASSWORD = "six green stripes on it"  # noqa: S105  of people who do not exist
Staff = dict[str, Actor]
Clients = Callable[[str], TestClient]


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime

    def __call__(self) -> datetime: ...


@pytest.fixture
def ada(library: Library, staff: Staff) -> dict[str, str]:
    with library.work(THE_LIBRARY) as work:
        set_password(work, staff["administrator"].person or 0, PASSWORD)
    return {"login": "ada", "password": PASSWORD}


def test_who_signs_in_gets_cookies_that_scripts_of_other_sites_cannot_use(
    nobody: TestClient, ada: dict[str, str]
) -> None:
    answer = nobody.post("/sign-in", json=ada)
    assert answer.status_code == 201
    assert answer.json()["person"]["login"] == "ada"
    first, second = answer.headers.get_list("set-cookie")
    assert first.startswith("vouchbook=")
    assert {"HttpOnly", "Path=/", "SameSite=strict"} <= set(first.split("; "))
    assert second.startswith("vouchbook-csrf=")
    assert "HttpOnly" not in second
    assert nobody.get("/me").json()["roles"] == ["administrator"]


def test_by_https_the_cookie_is_secure_and_of_this_host(library: Library, ada: dict[str, str]) -> None:
    app = make_app(library, ServerSettings(hosts=("testserver",), is_https=True))
    answer = TestClient(app, base_url=f"https://testserver{PREFIX}").post("/sign-in", json=ada)
    assert [cookie.split("=")[0] for cookie in answer.headers.get_list("set-cookie")] == [
        "__Host-vouchbook", "__Host-vouchbook-csrf"
    ]  # fmt: skip
    assert all("Secure" in cookie for cookie in answer.headers.get_list("set-cookie"))


@pytest.mark.parametrize(
    ("login", "password"),
    [("ada", "another password"), ("nobody", PASSWORD), ("olin", PASSWORD), ("", ""), ("ada", "x" * 1024)],
)
def test_what_does_not_fit_says_not_what(nobody: TestClient, ada: dict[str, str], login: str, password: str) -> None:
    del ada
    answer = nobody.post("/sign-in", json={"login": login, "password": password})
    assert answer.status_code == 401
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json() == {
        "type": "/problems/sign-in",
        "title": "Nobody is signed in",
        "status": 401,
        "detail": "sign-in: login and password do not fit. Check both, or ask an administrator.",
    }
    assert "set-cookie" not in answer.headers


def test_signing_out_ends_it(browser: Clients) -> None:
    ada = browser("administrator")
    cookies = dict(ada.cookies)
    assert ada.delete("/sign-in").status_code == 204
    assert ada.get("/me").status_code == 401
    ada.cookies.update(cookies)
    assert ada.get("/me").status_code == 401


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        pytest.param({}, 200, id="our-page"),
        pytest.param({"x-csrf-token": ""}, 403, id="no-secret"),
        pytest.param({"x-csrf-token": "guessed"}, 403, id="another-secret"),
        pytest.param({"sec-fetch-site": "cross-site"}, 403, id="another-site"),
        pytest.param({"sec-fetch-site": "same-site"}, 403, id="a-neighbour"),
        pytest.param({"sec-fetch-site": None, "origin": "http://evil.example"}, 403, id="old-browser-elsewhere"),
        pytest.param({"sec-fetch-site": None, "origin": "null"}, 403, id="old-browser-sandbox"),
        pytest.param({"sec-fetch-site": None, "origin": "http://testserver"}, 200, id="old-browser-here"),
    ],
)  # fmt: skip
def test_a_change_by_cookie_comes_from_our_own_page(
    browser: Clients, headers: dict[str, str | None], status: int
) -> None:
    ada = browser("administrator")
    seen = {"if-match": ada.get("/department").headers["etag"]}
    for name, value in headers.items():
        if value is None:
            del ada.headers[name]
        else:
            ada.headers[name] = value
    answer = ada.put("/department", json={"is_one_person": True}, headers=seen)
    assert answer.status_code == status
    assert ada.get("/department").json()["is_one_person"] is (status == 200)


def test_nobody_is_signed_in_by_a_page_of_another_site(nobody: TestClient, ada: dict[str, str]) -> None:
    answer = nobody.post("/sign-in", json=ada, headers={"origin": "http://evil.example"})
    assert answer.status_code == 403
    form = nobody.post(
        "/sign-in", content=json.dumps(ada), headers={"content-type": "text/plain", "sec-fetch-site": "same-origin"}
    )
    assert form.status_code == 422
    assert "set-cookie" not in answer.headers
    assert "set-cookie" not in form.headers


@pytest.mark.parametrize("limited", ["login", "address"])
def test_failures_are_limited_by_login_and_by_address(library: Library, ada: dict[str, str], limited: str) -> None:
    few = {f"sign_ins_per_{limited}": "3/15 minutes"}
    app = make_app(library, ServerSettings(hosts=("testserver",)).model_copy(update=few))
    client = TestClient(app, base_url=f"http://testserver{PREFIX}")
    for tried in range(3):
        wrong = {"login": "ada" if limited == "login" else f"login{tried}", "password": "no"}
        assert client.post("/sign-in", json=wrong).status_code == 401
    answer = client.post("/sign-in", json=ada)
    assert answer.status_code == 429
    assert 1 <= int(answer.headers["retry-after"]) <= 900
    assert answer.json()["type"] == "/problems/too-many"
    other = client.post("/sign-in", json={"login": "olin", "password": "no"})
    assert other.status_code == (401 if limited == "login" else 429)


def test_a_good_sign_in_forgets_the_failures_of_its_login(library: Library, ada: dict[str, str]) -> None:
    settings = ServerSettings(hosts=("testserver",), sign_ins_per_login="2/15 minutes")
    client = TestClient(make_app(library, settings), base_url=f"http://testserver{PREFIX}")
    for _ in range(3):
        assert client.post("/sign-in", json={**ada, "password": "no"}).status_code == 401
        assert client.post("/sign-in", json=ada).status_code == 201


def test_failures_count_at_every_server_and_after_a_restart_until_their_time_is_over(
    library: Library, where: str, media: Path, ada: dict[str, str], clock: Wound
) -> None:
    settings = ServerSettings(hosts=("testserver",), sign_ins_per_login="3/15 minutes")
    with open_library(where, media=media, clock=clock, busy_s=10) as second:
        for tried in range(3):
            server = TestClient(make_app((library, second)[tried % 2], settings), base_url=f"http://testserver{PREFIX}")
            assert server.post("/sign-in", json={**ada, "password": "guessed"}).status_code == 401
    server = TestClient(make_app(library, settings), base_url=f"http://testserver{PREFIX}")
    answer = server.post("/sign-in", json=ada)
    assert answer.status_code == 429
    clock.at += timedelta(seconds=int(answer.headers["retry-after"]))
    assert server.post("/sign-in", json=ada).status_code == 201


def test_who_signs_in_while_somebody_writes_for_long_is_told_so(
    where: str, media: Path, nobody: TestClient, ada: dict[str, str]
) -> None:
    with open_library(where, media=media) as other, other.work(THE_LIBRARY):
        answer = nobody.post("/sign-in", json=ada)
    assert (answer.status_code, answer.json()["type"]) == (503, "/problems/store")
    assert "busy" in answer.json()["detail"]
    assert int(answer.headers["retry-after"]) > 0
    assert nobody.post("/sign-in", json=ada).status_code == 201


def test_a_script_acts_by_token_until_it_is_revoked(browser: Clients, app: FastAPI) -> None:
    ada = browser("administrator")
    made = ada.post("/me/tokens", json={"name": "nightly list"}).json()
    script = TestClient(app, base_url=f"http://testserver{PREFIX}")
    script.headers["authorization"] = f"Bearer {made['secret']}"
    assert script.get("/me").json()["login"] == "ada"
    assert script.post("/me/tokens", json={"name": "another"}).status_code == 403
    assert ada.delete(f"/tokens/{made['token']['id']}").json()["revoked_at"]
    answer = script.get("/me")
    assert answer.status_code == 401
    assert answer.headers["www-authenticate"].startswith("Bearer")


@pytest.mark.parametrize("value", ["Bearer guessed", "Basic YWRhOmFkYQ==", "Bearer ", "vouchbook_x", "Bearer \u00e9"])
def test_what_is_no_token_is_nobody(nobody: TestClient, staff: Staff, value: str) -> None:
    del staff
    assert nobody.get("/me", headers={b"authorization": value.encode("latin-1")}).status_code == 401


def test_a_new_password_ends_all_sign_ins(browser: Clients, nobody: TestClient) -> None:
    ada = browser("administrator")
    other = {"old": "not the old one", "new": "another one that is long"}
    assert ada.put("/me/password", json=other).status_code == 401
    assert ada.put("/me/password", json={**other, "old": PASSWORD}).status_code == 204
    assert ada.get("/me").status_code == 401
    assert nobody.post("/sign-in", json={"login": "ada", "password": other["new"]}).status_code == 201


def test_what_was_sent_is_not_repeated(nobody: TestClient) -> None:
    answer = nobody.post("/sign-in", json={"login": "ada", "password": "my secret words" * 100})
    assert answer.status_code == 422
    assert "secret" not in answer.text
    assert answer.json()["errors"][0]["where"] == ["body", "password"]


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "", "127.0.0.1.evil.example"])
def test_a_name_that_somebody_points_at_this_machine_is_refused(nobody: TestClient, host: str) -> None:
    answer = nobody.get("/openapi.json", headers={"host": host})
    assert answer.status_code == 400
    assert answer.json()["type"] == "/problems/bad-request"


def test_every_operation_but_signing_in_asks_who_it_is(app: FastAPI, nobody: TestClient, staff: Staff) -> None:
    """Whatever is sent: who asks is looked at before anything else is told, but for what cannot be read at all."""
    del staff
    left: list[Any] = []
    for path, operations in app.openapi()["paths"].items():
        for method in operations:
            address = path.removeprefix(PREFIX).replace("{sha256}", "0" * 64).replace("{key}", "0" * 36)
            for name in ("item_id", "draft_id", "visit_id", "question_id", "edition_id", "other_id", "task_id",
                         "person_id", "token_id", "participant_id", "hold_id", "name"):  # fmt: skip
                address = address.replace(f"{{{name}}}", "1")
            if nobody.request(method, address).status_code != 401:
                left.append((method, address))
    assert left == [("post", "/sign-in")]


def test_many_tries_at_once_are_not_more_than_the_limit(library: Library, ada: dict[str, str]) -> None:
    settings = ServerSettings(hosts=("testserver",), sign_ins_per_login="3/15 minutes")
    client = TestClient(make_app(library, settings), base_url=f"http://testserver{PREFIX}")

    def tried(_: int) -> int:
        status: int = client.post("/sign-in", json={**ada, "password": "guessed"}).status_code
        return status

    with ThreadPoolExecutor(12) as pool:
        assert Counter(pool.map(tried, range(12))) == {401: 3, 429: 9}
