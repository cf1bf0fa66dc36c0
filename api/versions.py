"""Optimistic versions over HTTP (RFC 9110): what was seen carries an ETag, a change names it in If-Match."""

import re
from typing import Annotated, TypeVar

from fastapi import Depends, Header, Path, Request, Response

from vouchbook.api.problems import PreconditionRequiredError
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.store.setting import plain
from vouchbook.models.errors import StaleError
from vouchbook.models.record import Record

_TAG = re.compile(r'"v([0-9]{1,18})"')
_HIGHEST = 2**63 - 1
State = TypeVar("State", bound=Record)

Number = Annotated[int, Path(ge=1, le=_HIGHEST)]


def tagged(response: Response, version: int) -> None:
    """Gives an answer the ETag of a version."""
    response.headers["etag"] = f'"v{version}"'


def seen_version(request: Request, if_match: Annotated[str | None, Header(description='As in `"v3"`.')] = None) -> int:
    """The version that a change was made against.

    "*" and lists say that one did not look, and are refused: nobody decides on what they did not see.

    Raises:
        PreconditionRequiredError: the request does not say.
        StaleError: it names something that was never a version.
    """
    del if_match  # documented above; read below, where empty and missing are told apart
    given = _one_tag(request)
    match = _TAG.fullmatch(given)
    if match is None:
        raise StaleError("If-Match", f"{given[:40]!r} is no version of it", "Load it again")
    return int(match.group(1))


Seen = Annotated[int, Depends(seen_version)]


def tag_of(state: Record) -> str:
    """The ETag of what has no version of its own: the hash of its state."""
    return f'"{canonical_sha256(plain(state))}"'


def told(response: Response, state: State) -> State:
    """``state``, sent with its ETag."""
    response.headers["etag"] = tag_of(state)
    return state


def seen_tag(request: Request, if_match: Annotated[str | None, Header(description="The ETag.")] = None) -> str:
    """The ETag that a change was made against, as it was sent.

    Raises:
        PreconditionRequiredError: the request does not say; "*" and lists are refused as for versions.
    """
    del if_match
    return _one_tag(request)


SeenTag = Annotated[str, Depends(seen_tag)]


def check_same(what: str, seen: str, now: Record) -> None:
    """Refuses a change of a state that is no longer as it was seen; to be called where the change is made.

    Raises:
        StaleError: it is another by now.
    """
    if seen != tag_of(now):
        raise StaleError(what, "somebody changed it since you saw it", "Load it again, then change it")


def is_known(request: Request, etag: str) -> bool:
    """Whether the client has it already (If-None-Match, weak comparison as RFC 9110 asks for)."""
    given = request.headers.get("if-none-match", "")
    return given.strip() == "*" or etag in [one.strip().removeprefix("W/") for one in given.split(",")]


def _one_tag(request: Request) -> str:
    given = request.headers.get("if-match", "").strip()
    if not given or given == "*" or "," in given:
        raise PreconditionRequiredError("Send the ETag of what you saw as If-Match, one alone.")
    return given
