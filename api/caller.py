"""Who asks: by the cookie of a sign-in or by a token; and whether a change comes from our own page."""

from typing import Annotated

from fastapi import Depends, Request, Security
from fastapi.security import APIKeyCookie, HTTPAuthorizationCredentials, HTTPBearer

from vouchbook.api.settings import ServerSettings
from vouchbook.library.open import Library
from vouchbook.library.people.sessions import check_csrf, needs_touch, signed_in, touch
from vouchbook.library.people.tokens import actor_of_token
from vouchbook.models.errors import NotAllowedError, SignInError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record

CSRF_HEADER = "x-csrf-token"
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_NO_CHANGE_FROM_ELSEWHERE = NotAllowedError(
    "request", "it comes from a page of another site", "Open Vouchbook itself and do it there"
)


class Caller(Record):
    """The person who asks; ``cookie`` is the secret of the sign-in, None for a token."""

    actor: Actor
    cookie: str | None = None


def library_of(request: Request) -> Library:
    """The library that this server serves."""
    library: Library = request.app.state.library
    return library


def settings_of(request: Request) -> ServerSettings:
    """The settings of this server."""
    settings: ServerSettings = request.app.state.settings
    return settings


LibraryOf = Annotated[Library, Depends(library_of)]
SettingsOf = Annotated[ServerSettings, Depends(settings_of)]


def check_origin(request: Request) -> None:
    """Refuses a change that a page of another site sends: it would come with our cookie.

    Browsers say where a request comes from by Sec-Fetch-Site (W3C Fetch Metadata), older ones by Origin (RFC 6454).
    Programs say neither.

    Raises:
        NotAllowedError: it comes from elsewhere.
    """
    site = request.headers.get("sec-fetch-site")
    if site is not None:
        if site not in ("same-origin", "none"):
            raise _NO_CHANGE_FROM_ELSEWHERE
        return
    origin = request.headers.get("origin")
    if origin is not None and origin.split("://")[-1] != request.headers.get("host"):
        raise _NO_CHANGE_FROM_ELSEWHERE


_COOKIE = APIKeyCookie(
    name="vouchbook",
    auto_error=False,
    scheme_name="sign-in",
    description="The cookie of a sign-in (`__Host-vouchbook` by HTTPS). Changes also carry `X-CSRF-Token`.",
)
_BEARER = HTTPBearer(auto_error=False, scheme_name="token", description="A token for scripts.")


def caller(
    request: Request,
    library: LibraryOf,
    settings: SettingsOf,
    _cookie: Annotated[str | None, Security(_COOKIE)] = None,
    _bearer: Annotated[HTTPAuthorizationCredentials | None, Security(_BEARER)] = None,
) -> Caller:
    """Who asks. A token counts over a cookie: a script that sends one means it.

    Raises:
        SignInError: nobody, or nobody any more.
        NotAllowedError: a change by cookie that does not come from a page of this sign-in.
    """
    scheme, _, secret = request.headers.get("authorization", "").partition(" ")
    if secret:
        if scheme.lower() != "bearer":
            raise SignInError("token", f"{scheme[:20]!r} is no way to sign in here", "Send it as a Bearer token")
        with library.reading() as session:
            return Caller(actor=actor_of_token(session, secret.strip(), library.clock()))
    cookie = request.cookies.get(settings.cookie)
    if not cookie:
        raise SignInError("request", "nobody is signed in", "Sign in, or send a token")
    at = library.clock()
    with library.reading() as session:
        known = signed_in(session, cookie, at)
        if request.method not in _SAFE:
            check_origin(request)
            check_csrf(session, cookie, request.headers.get(CSRF_HEADER, ""))
        stale = needs_touch(session, cookie, at)
    if stale:
        with library.work(known.actor) as work:
            touch(work, cookie)
    return Caller(actor=known.actor, cookie=cookie)


Who = Annotated[Caller, Depends(caller)]
