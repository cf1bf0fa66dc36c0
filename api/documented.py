"""The OpenAPI document: every operation tells the problems that it may answer with."""

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from fastapi.routing import APIRoute

from vouchbook.api.problems import MEDIA_TYPE, STATUSES, Problem
from vouchbook.api.settings import PREFIX

ABOUT = """What a department keeps of its walk-throughs: visits, drafts, decisions, editions, and all that was said.

Sign in for a cookie, or send a token. Errors are problems by RFC 9457. Items and questions carry an ETag; a change of
one names it in `If-Match`: 412 says that somebody was quicker, 428 that it was left out.
"""
_ALWAYS = (400, 401, 403, 413, 422, 503)
_SCHEMA = {"$ref": "#/components/schemas/Problem"}


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The entry ``responses`` of a route: problems that it may answer with, beside those of every route."""
    return {status: _told(status) for status in sorted({*_ALWAYS, *statuses})}


def unique_id(route: APIRoute) -> str:
    """Operations are called as their functions."""
    return route.name


def document(app: FastAPI) -> dict[str, Any]:
    """The OpenAPI document of ``app``, made once."""
    if app.openapi_schema is None:
        made = get_openapi(title=app.title, version=app.version, description=ABOUT, routes=app.routes)
        schemas = made.setdefault("components", {}).setdefault("schemas", {})
        own = Problem.model_json_schema(ref_template="#/components/schemas/{model}", mode="serialization")
        schemas.update(own.pop("$defs", {}))
        schemas["Problem"] = own
        for name in ("HTTPValidationError", "ValidationError"):
            schemas.pop(name, None)
        app.openapi_schema = made
    return app.openapi_schema


def _told(status: int) -> dict[str, Any]:
    return {"description": STATUSES[status], "content": {MEDIA_TYPE: {"schema": _SCHEMA}}}


DOCUMENT_URL = f"{PREFIX}/openapi.json"
