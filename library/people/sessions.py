"""Sign-ins: who a browser is, from login and password until it signs out or is forgotten."""

from datetime import datetime, timedelta
from hmac import compare_digest

from pydantic import AwareDatetime
from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.people.passwords import fits
from vouchbook.library.people.secrets import hash_of, new_secret
from vouchbook.library.store.people_tables import PersonRow, SignInRow
from vouchbook.models.errors import NotAllowedError, SignInError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record

LASTS = timedelta(hours=12)
IDLE = timedelta(hours=2)
"""A shift at most, and less where nobody works: our choice, within what NIST SP 800-63B calls level 1 (from memory)."""
_SEEN_EVERY = timedelta(minutes=1)


class SignedIn(Record):
    """A sign-in and its two secrets, told here and never again: ``token`` is for the cookie, ``csrf`` for forms."""

    id: int
    actor: Actor
    token: str
    csrf: str
    expires_at: AwareDatetime


class Known(Record):
    """Whom a token stands for, and by which sign-in."""

    sign_in: int
    actor: Actor
    expires_at: AwareDatetime


def proven(session: Session, login: str, password: str) -> Actor:
    """Who says to be ``login``, if the password is theirs. Slow on purpose: call it outside of a piece of work.

    Raises:
        SignInError: it is not, nobody has that login, or they do not work here any more; it does not say which.
    """
    row = session.scalar(select(PersonRow).where(PersonRow.login == login.replace("\0", "")))
    if not fits(password, row.password_hash if row and row.is_active else None) or row is None:
        raise SignInError("sign-in", "login and password do not fit", "Check both, or ask an administrator")
    return Actor.model_validate({"person": row.id, "login": row.login, "roles": row.roles})


def sign_in(work: Work) -> SignedIn:
    """A new sign-in of the person who acts, whom :func:`proven` has made sure of."""
    token, csrf = new_secret(), new_secret()
    row = SignInRow(
        token_hash=hash_of(token),
        person_id=work.person_id(),
        csrf_hash=hash_of(csrf),
        created_at=work.at,
        seen_at=work.at,
        expires_at=work.at + LASTS,
    )
    work.session.add(row)
    work.session.flush()
    work.journal("signed in", "sign_in", row.id)
    return SignedIn(id=row.id, actor=work.actor, token=token, csrf=csrf, expires_at=row.expires_at)


def signed_in(session: Session, token: str, at: datetime) -> Known:
    """Whom ``token`` stands for at ``at``.

    Raises:
        SignInError: nobody, or nobody any more.
    """
    row = _row(session, token)
    person = session.get(PersonRow, row.person_id) if row else None
    if row is None or person is None or not person.is_active or not _lasts(row, at):
        raise SignInError("sign-in", "it has ended", "Sign in again")
    actor = Actor.model_validate({"person": person.id, "login": person.login, "roles": person.roles})
    return Known(sign_in=row.id, actor=actor, expires_at=row.expires_at)


def needs_touch(session: Session, token: str, at: datetime) -> bool:
    """Whether it is time to note that the browser is still there; once a minute is enough."""
    row = _row(session, token)
    return row is not None and at - row.seen_at >= _SEEN_EVERY


def touch(work: Work, token: str) -> None:
    """Notes that the browser is still there."""
    row = _row(work.session, token)
    if row is not None and _lasts(row, work.at):
        row.seen_at = max(row.seen_at, work.at)


def check_csrf(session: Session, token: str, csrf: str) -> None:
    """Makes sure that a form comes from our own page.

    Raises:
        NotAllowedError: it does not carry the secret of this sign-in.
    """
    row = _row(session, token)
    if row is None or not compare_digest(row.csrf_hash, hash_of(csrf)):
        raise NotAllowedError("form", "it does not come from a page of this sign-in", "Load the page again")


def sign_out(work: Work, token: str) -> None:
    """Ends the sign-in; one that has ended already stays so."""
    row = _row(work.session, token)
    if row is not None and row.ended_at is None:
        row.ended_at = work.at
        work.journal("signed out", "sign_in", row.id)


def end_all(work: Work, person_id: int) -> None:
    """Ends all sign-ins of a person; the caller writes the journal."""
    still = select(SignInRow).where(SignInRow.person_id == person_id, SignInRow.ended_at.is_(None))
    for row in work.session.scalars(still):
        row.ended_at = work.at


def _row(session: Session, token: str) -> SignInRow | None:
    return session.scalar(select(SignInRow).where(SignInRow.token_hash == hash_of(token)))


def _lasts(row: SignInRow, at: datetime) -> bool:
    # A clock that ran ahead and was set right makes sign-ins of the future: those would last until it comes.
    return row.ended_at is None and at < row.expires_at and abs(at - row.seen_at) < IDLE
