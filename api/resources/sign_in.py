"""Signing in and out, one's own password, and tokens for scripts."""

from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from pydantic import AfterValidator, AwareDatetime, Field

from vouchbook.api.caller import LibraryOf, SettingsOf, Who, check_origin
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.tries import Tries
from vouchbook.api.versions import Number
from vouchbook.library.people.passwords import LONGEST
from vouchbook.library.people.people import person, set_password
from vouchbook.library.people.sessions import LASTS, sign_in, sign_out
from vouchbook.library.people.tokens import AccessToken, make_token, revoke, tokens
from vouchbook.library.people.tries import WAITS_S
from vouchbook.models.errors import NotAllowedError
from vouchbook.models.people import Person
from vouchbook.models.record import Record

router = APIRouter(tags=["sign-in"], route_class=Route)

Password = Annotated[str, Field(max_length=4 * LONGEST)]


def _within_reach(at: datetime) -> datetime:
    if not 2000 <= at.year <= 2200:
        raise ValueError("the year is none of 2000 to 2200")
    return at.astimezone(UTC)


Moment = Annotated[AwareDatetime, AfterValidator(_within_reach)]


class Credentials(Record):
    """Login and password."""

    login: str = Field(max_length=200)
    password: Password


class SignedInNow(Record):
    """Who signed in. ``csrf`` goes into the header ``X-CSRF-Token`` of every change; a cookie has it too."""

    person: Person
    csrf: str
    expires_at: AwareDatetime


class NewPassword(Record):
    """One's own password, changed: the old one shows that it is still the same person at the screen."""

    old: Password
    new: Password


class WantedToken(Record):
    """A token to make; without an end it lasts until it is revoked."""

    name: str = Field(max_length=200)
    expires_at: Moment | None = None


class NewToken(Record):
    """A token and its secret, which is told here and never again."""

    token: AccessToken
    secret: str


def _address(request: Request) -> str:
    return request.client.host if request.client else "unknown"


def _tries(request: Request) -> Tries:
    tries: Tries = request.app.state.tries
    return tries


@router.post("/sign-in", summary="Sign in", status_code=201, responses=problems(429))
def post_sign_in(
    request: Request,
    response: Response,
    credentials: Credentials,
    library: LibraryOf,
    settings: SettingsOf,
    tries: Annotated[Tries, Depends(_tries)],
) -> SignedInNow:
    """Gives the cookies of a new sign-in. Failures are limited by login and by address."""
    check_origin(request)
    actor = tries.proven(library, credentials.login, credentials.password, _address(request))
    with library.work(actor, waits_s=WAITS_S) as work:
        made = sign_in(work)
        who = person(work.session, work.person_id())
    lasts_s = round(LASTS.total_seconds())
    response.set_cookie(
        settings.cookie, made.token, lasts_s, path="/", secure=settings.is_https, httponly=True, samesite="strict"
    )
    response.set_cookie(settings.csrf_cookie, made.csrf, lasts_s, path="/", secure=settings.is_https, samesite="strict")
    return SignedInNow(person=who, csrf=made.csrf, expires_at=made.expires_at)


@router.delete("/sign-in", summary="Sign out", status_code=204, responses=problems())
def delete_sign_in(response: Response, who: Who, library: LibraryOf, settings: SettingsOf) -> None:
    """Ends the sign-in of the cookie; a token stays as it is."""
    if who.cookie is not None:
        with library.work(who.actor) as work:
            sign_out(work, who.cookie)
    for name in (settings.cookie, settings.csrf_cookie):
        response.delete_cookie(name, path="/", secure=settings.is_https, samesite="strict")


@router.get("/me", summary="Who am I", responses=problems())
def get_me(who: Who, library: LibraryOf) -> Person:
    """The person who asks, with their roles as they are now."""
    with library.reading() as session:
        return person(session, who.actor.person or 0)


@router.put("/me/password", summary="Change one's own password", status_code=204, responses=problems(429))
def put_my_password(
    request: Request, wanted: NewPassword, who: Who, library: LibraryOf, tries: Annotated[Tries, Depends(_tries)]
) -> None:
    """A new password; all sign-ins of that person end. A token cannot do it."""
    if who.cookie is None:
        raise NotAllowedError("password", "a token cannot change it", "Sign in")
    tries.proven(library, who.actor.login, wanted.old, _address(request))
    with library.work(who.actor) as work:
        set_password(work, work.person_id(), wanted.new)


@router.get("/me/tokens", summary="List one's own tokens", responses=problems())
def get_my_tokens(who: Who, library: LibraryOf) -> tuple[AccessToken, ...]:
    """The tokens, the oldest first, also those that ended."""
    with library.reading() as session:
        return tokens(session, who.actor.person or 0)


@router.post("/me/tokens", summary="Make a token for scripts", status_code=201, responses=problems())
def post_my_token(wanted: WantedToken, who: Who, library: LibraryOf) -> NewToken:
    """A token with which a script acts for the person. A token cannot make another: who finds it has it alone."""
    if who.cookie is None:
        raise NotAllowedError("token", "a token cannot make another", "Sign in and make it there")
    with library.work(who.actor) as work:
        token, secret = make_token(work, wanted.name, wanted.expires_at)
    return NewToken(token=token, secret=secret)


@router.delete("/tokens/{token_id}", summary="Revoke a token", responses=problems(404))
def delete_token(token_id: Number, who: Who, library: LibraryOf) -> AccessToken:
    """Ends a token, by its person or an administrator."""
    with library.work(who.actor) as work:
        return revoke(work, token_id)
