"""The OpenAPI document, and Schemathesis, which tries what it promises."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import APIOperation, Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.result import Ok
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from starlette.testclient import TestClient

from vouchbook.api.app import make_app
from vouchbook.api.documented import DOCUMENT_URL
from vouchbook.api.settings import ServerSettings
from vouchbook.library.open import Library
from vouchbook.library.people.people import add_person, set_roles
from vouchbook.library.people.tokens import make_token
from vouchbook.library.visits.bring import bring
from vouchbook.models.draft import Draft
from vouchbook.models.people import ROLES, THE_LIBRARY, Actor, actor_of
from vouchbook.models.visits import Visit

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
EXAMPLES = 5
ENDLESS = r"/events$"
"""Streams that end when something else happens: tests of their own follow them."""


def test_every_operation_says_what_it_does(app: FastAPI) -> None:
    operations = [one for path in app.openapi()["paths"].values() for one in path.values()]
    names = [one["operationId"] for one in operations]
    assert len(operations) > 80
    assert len(set(names)) == len(names)
    for one in operations:
        assert one["summary"], one["operationId"]
        assert not one["summary"].endswith(".")
        assert one["description"], one["operationId"]
        assert {"401", "403", "422", "503"} <= set(one["responses"])
        schemas = [
            told["content"] for status, told in one["responses"].items() if status >= "400" and "content" in told
        ]
        assert all(set(content) == {"application/problem+json"} for content in schemas)


def test_no_page_fetches_anything_from_elsewhere(app: FastAPI, nobody: TestClient) -> None:
    del app
    for address in ("/docs", "/redoc", "/"):
        answer = nobody.get(f"http://testserver{address}")
        assert answer.status_code == 404
        assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["allowed", "not-allowed"])
def test_what_the_document_promises_holds(
    library: Library, visit: Visit, draft: Draft, tmp_path: Path, mode: GenerationMode
) -> None:
    """Every operation is called with values that its schema allows, and with some that it does not."""
    with library.work(THE_LIBRARY) as work:
        ada = actor_of(add_person(work, "ada", "Ada", ROLES))
    bring(library, ada, visit, draft)
    app = make_app(library, ServerSettings(hosts=("localhost",), exports=tmp_path / "exports"))
    schema = schemathesis.openapi.from_asgi(DOCUMENT_URL, app, headers={"host": "localhost"})
    answered: Counter[int] = Counter()
    for found in schema.exclude(path_regex=ENDLESS).get_all_operations():
        assert isinstance(found, Ok)
        operation = found.ok()
        if mode is GenerationMode.NEGATIVE and not (operation.body or operation.query or operation.path_parameters):
            continue
        headers = {"authorization": f"Bearer {as_at_the_beginning(library, ada)}", "host": "localhost"}
        answered += answers(operation, mode, headers)
    assert answered[200 if mode is GenerationMode.POSITIVE else 422] > 50
    assert answered[401] <= 2 * EXAMPLES, "only signing in and a new password ask for a password"


def answers(operation: APIOperation[Any, Any, Any, Any], mode: GenerationMode, headers: dict[str, str]) -> Counter[int]:
    """Calls an operation; gives how often it answered with which status."""
    counted: Counter[int] = Counter()

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        derandomize=True,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def call(case: Case[Any]) -> None:
        if mode is GenerationMode.POSITIVE:
            near(case)
        counted[case.call_and_validate(checks=CHECKS, headers=headers).status_code] += 1

    call()
    return counted


def as_at_the_beginning(library: Library, ada: Actor) -> str:
    """A new token of somebody who may do everything: what was called before may have taken either away."""
    with library.work(THE_LIBRARY) as work:
        set_roles(work, ada.person or 0, ROLES)
    with library.work(ada) as work:
        return make_token(work, "tests")[1]


def near(case: Case[Any]) -> None:
    """Numbers that are there, and versions as they are at first: others would all be told the same."""
    for name, value in case.path_parameters.items():
        if isinstance(value, int):
            case.path_parameters[name] = value % 3 + 1
    if "if-match" in case.headers:
        case.headers["if-match"] = '"v1"'
