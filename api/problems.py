"""Every error as a problem by RFC 9457: one table from what went wrong to its status."""

import logging
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from vouchbook.models.errors import (
    ConflictError,
    GoneError,
    InputError,
    ModelError,
    NotAllowedError,
    NotFoundError,
    SettingError,
    SignInError,
    StaleError,
    StoreError,
    VouchbookError,
)
from vouchbook.models.record import Record

MEDIA_TYPE = "application/problem+json"
_LOG = logging.getLogger(__name__)
_RETRY_AFTER_S = "5"


class FieldProblem(Record):
    """What is wrong with one part of a request; ``where`` names it, from the outside in."""

    where: tuple[str | int, ...]
    problem: str


class Problem(Record):
    """A problem by RFC 9457. ``detail`` says what is wrong and what to do; ``type`` names the kind for programs."""

    type: str
    title: str
    status: int
    detail: str
    errors: tuple[FieldProblem, ...] = ()


class PreconditionRequiredError(VouchbookError):
    """A change does not say which version it was made against."""


class TooManyError(VouchbookError):
    """Too many tries in too short a time."""

    def __init__(self, detail: str, retry_after_s: int) -> None:
        self.retry_after_s = retry_after_s
        super().__init__(detail)


class TooLargeError(VouchbookError):
    """A request is larger than this server takes."""


class BadRequestError(VouchbookError):
    """A request that cannot be read as one."""


KINDS: tuple[tuple[type[VouchbookError], int, str, str], ...] = (
    (BadRequestError, 400, "bad-request", "This cannot be read"),
    (SignInError, 401, "sign-in", "Nobody is signed in"),
    (NotAllowedError, 403, "not-allowed", "This person may not do that"),
    (NotFoundError, 404, "not-found", "There is no such thing"),
    (StaleError, 412, "changed", "Somebody changed it since it was seen"),
    (ConflictError, 409, "conflict", "It stands against what is there"),
    (GoneError, 410, "removed", "It was removed"),
    (TooLargeError, 413, "too-large", "This is too large"),
    (SettingError, 422, "cannot-be", "This value cannot be used"),
    (InputError, 422, "unusable-file", "This file cannot be used"),
    (PreconditionRequiredError, 428, "version-missing", "Say which version you saw"),
    (TooManyError, 429, "too-many", "Too many tries"),
    (StoreError, 503, "store", "The library cannot do it now"),
    (ModelError, 503, "model", "A model cannot be used"),
)
"""The first that fits counts."""
STATUSES = {status: title for _, status, _, title in reversed(KINDS)} | {500: "A defect"}


def problem_of(error: VouchbookError) -> Problem:
    """``error`` as a problem."""
    for kind, status, name, title in KINDS:
        if isinstance(error, kind):
            return Problem(type=_type(name), title=title, status=status, detail=str(error))
    raise TypeError(f"{type(error).__name__} has no status")


def answer(problem: Problem, headers: Mapping[str, str] | None = None) -> JSONResponse:
    """The problem as an answer."""
    content = problem.model_dump(mode="json", exclude_defaults=not problem.errors)
    told = {"cache-control": "no-store", **(headers or {})}
    return JSONResponse(content, problem.status, media_type=MEDIA_TYPE, headers=told)


def add_handlers(app: FastAPI) -> None:
    """Makes ``app`` tell every error as a problem."""
    app.add_exception_handler(VouchbookError, _of_ours)
    app.add_exception_handler(RequestValidationError, _of_validation)
    app.add_exception_handler(HTTPException, _of_http)
    app.add_exception_handler(Exception, _of_defect)


def _of_ours(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, VouchbookError)
    headers: dict[str, str] = {}
    if isinstance(error, SignInError):
        headers["www-authenticate"] = 'Bearer realm="vouchbook"'
    elif isinstance(error, TooManyError):
        headers["retry-after"] = str(error.retry_after_s)
    elif isinstance(error, StoreError):
        headers["retry-after"] = _RETRY_AFTER_S
        _LOG.warning("%s", error)
    return answer(problem_of(error), headers)


def _of_validation(_request: Request, error: Exception) -> JSONResponse:
    """What was sent is not repeated: it may be a password."""
    assert isinstance(error, RequestValidationError)
    found = tuple(
        FieldProblem(
            where=tuple(_plain(part) for part in one["loc"]), problem=_plain(one["msg"].removeprefix("Value error, "))
        )
        for one in error.errors()
    )
    detail = f"{len(found)} parts of the request cannot be used" if len(found) > 1 else _sentence(found[0])
    return answer(
        Problem(type=_type("cannot-be"), title="This value cannot be used", status=422, detail=detail, errors=found)
    )


def _of_http(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)
    title = STATUSES.get(error.status_code, "It cannot be done")
    problem = Problem(type="about:blank", title=title, status=error.status_code, detail=str(error.detail))
    return answer(problem, error.headers)


def _of_defect(_request: Request, _error: Exception) -> JSONResponse:
    """The server prints the traceback; whoever asked learns that it is not their fault."""
    detail = "Vouchbook has a defect here. The log of the server tells more. Nothing was changed."
    return answer(Problem(type=_type("defect"), title="A defect", status=500, detail=detail))


def _type(name: str) -> str:
    return f"/problems/{name}"


def _sentence(one: FieldProblem) -> str:
    return f"{' > '.join(str(part) for part in one.where)}: {one.problem}"


def _plain(part: Any) -> Any:  # noqa: ANN401  text or a number, as pydantic gives it
    return part if isinstance(part, int) else "".join(c if c.isprintable() else " " for c in str(part))[:200]
