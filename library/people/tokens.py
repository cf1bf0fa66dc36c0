"""Tokens with which scripts act for a person."""

from datetime import datetime

from pydantic import AwareDatetime
from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.people.secrets import hash_of, new_secret
from vouchbook.library.store.people_tables import AccessTokenRow, PersonRow
from vouchbook.models.errors import SettingError, SignInError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record

BEGINS = "vouchbook_"
"""So that one that was left somewhere is recognised for what it is."""
_LONGEST_NAME = 80


class AccessToken(Record):
    """What is known of a token after it was given out."""

    id: int
    person: int
    name: str
    created_at: AwareDatetime
    expires_at: AwareDatetime | None
    revoked_at: AwareDatetime | None


def make_token(work: Work, name: str, expires_at: datetime | None = None) -> tuple[AccessToken, str]:
    """A token for the person who acts, and its secret, which is told here and never again.

    Raises:
        SettingError: no name to tell it by, or an end that has passed.
        NotAllowedError: nobody is signed in.
    """
    if not name.strip() or len(name) > _LONGEST_NAME or not name.isprintable():
        raise SettingError(f"token: a name has 1 to {_LONGEST_NAME} characters on one line. Give another name.")
    if expires_at is not None and expires_at <= work.at:
        raise SettingError(f"token {name!r}: its end has passed. Give a later one, or none.")
    secret = new_secret(BEGINS)
    row = AccessTokenRow(
        token_hash=hash_of(secret),
        person_id=work.person_id(),
        name=name.strip(),
        created_at=work.at,
        expires_at=expires_at,
    )
    work.session.add(row)
    work.session.flush()
    work.journal("made", "access_token", row.id, {"expires_at": expires_at.isoformat() if expires_at else None})
    return _token(row), secret


def actor_of_token(session: Session, secret: str, at: datetime) -> Actor:
    """For whom ``secret`` stands at ``at``.

    Raises:
        SignInError: for nobody, or nobody any more.
    """
    row = session.scalar(select(AccessTokenRow).where(AccessTokenRow.token_hash == hash_of(secret)))
    person = session.get(PersonRow, row.person_id) if row else None
    if (
        row is None
        or person is None
        or not person.is_active
        or row.revoked_at is not None
        or (row.expires_at is not None and at >= row.expires_at)
    ):
        raise SignInError("token", "it is not valid, or not any more", "Make another")
    return Actor.model_validate({"person": person.id, "login": person.login, "roles": person.roles})


def revoke(work: Work, token_id: int) -> AccessToken:
    """Ends a token, by its person or an administrator.

    Raises:
        NotFoundError, NotAllowedError: no such token, or it is somebody else's.
    """
    row = work.get(AccessTokenRow, token_id, "token")
    if row.person_id != work.person:
        work.needs("administrator")
    if row.revoked_at is None:
        row.revoked_at = work.at
        work.journal("revoked", "access_token", row.id)
    return _token(row)


def revoke_all(work: Work, person_id: int) -> None:
    """Ends all tokens of a person; the caller writes the journal."""
    still = select(AccessTokenRow).where(AccessTokenRow.person_id == person_id, AccessTokenRow.revoked_at.is_(None))
    for row in work.session.scalars(still):
        row.revoked_at = work.at


def tokens(session: Session, person_id: int) -> tuple[AccessToken, ...]:
    """The tokens of a person, the oldest first."""
    asked = select(AccessTokenRow).where(AccessTokenRow.person_id == person_id).order_by(AccessTokenRow.id)
    return tuple(_token(row) for row in session.scalars(asked))


def _token(row: AccessTokenRow) -> AccessToken:
    return AccessToken(
        id=row.id,
        person=row.person_id,
        name=row.name,
        created_at=row.created_at,
        expires_at=row.expires_at,
        revoked_at=row.revoked_at,
    )
