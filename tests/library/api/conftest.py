"""The application over a library, people at browsers and with scripts; here, to share the library's fixtures."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from vouchbook.api.app import make_app
from vouchbook.api.settings import PREFIX, ServerSettings
from vouchbook.library.open import Library
from vouchbook.library.people.people import set_password
from vouchbook.library.people.tokens import make_token
from vouchbook.models.people import THE_LIBRARY, Actor

PASSWORD = "six green stripes on it"  # noqa: S105  of people who do not exist
Browser = Callable[[str], TestClient]


@pytest.fixture
def app(library: Library) -> FastAPI:
    """Without a worker: tests do the tasks themselves."""
    return make_app(library, ServerSettings(hosts=("testserver",)))


@pytest.fixture
def nobody(app: FastAPI) -> Iterator[TestClient]:
    """A client that is not signed in; a defect of ours answers 500, as it does outside of tests."""
    with TestClient(app, base_url=f"http://testserver{PREFIX}", raise_server_exceptions=False) as client:
        yield client


@pytest.fixture
def script(app: FastAPI, library: Library, staff: dict[str, Actor]) -> Callable[[str], TestClient]:
    """A client with the token of somebody of the staff."""

    def of(part: str) -> TestClient:
        with library.work(staff[part]) as work:
            secret = make_token(work, "test")[1]
        headers = {"authorization": f"Bearer {secret}"}
        return TestClient(app, base_url=f"http://testserver{PREFIX}", headers=headers, raise_server_exceptions=False)

    return of


@pytest.fixture
def browser(app: FastAPI, library: Library, staff: dict[str, Actor]) -> Browser:
    """A client that signed in as somebody of the staff, with what our own pages send."""

    def of(part: str) -> TestClient:
        actor = staff[part]
        with library.work(THE_LIBRARY) as work:
            set_password(work, actor.person or 0, PASSWORD)
        client = TestClient(app, base_url=f"http://testserver{PREFIX}", raise_server_exceptions=False)
        client.headers["sec-fetch-site"] = "same-origin"
        answer = client.post("/sign-in", json={"login": actor.login, "password": PASSWORD})
        assert answer.status_code == 201, answer.text
        client.headers["x-csrf-token"] = answer.json()["csrf"]
        return client

    return of


@pytest.fixture
def seen() -> Callable[[Any], dict[str, str]]:
    """What a change says it was made against: the ETag of an answer."""
    return lambda answer: {"if-match": answer.headers["etag"]}
