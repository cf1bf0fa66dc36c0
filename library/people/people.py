"""People: added, given roles and passwords, and sent away by an administrator. Nobody is ever deleted."""

from collections.abc import Iterable

from pydantic import ValidationError
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.people.passwords import hashed
from vouchbook.library.people.sessions import end_all
from vouchbook.library.people.tokens import revoke_all
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError, SettingError
from vouchbook.models.people import Person, Role

_NOBODY_LEFT = "it would leave no administrator"


def add_person(work: Work, login: str, name: str, roles: Iterable[Role], password: str | None = None) -> Person:
    """Adds somebody; without a password nobody can sign in as them yet. The first is always an administrator too.

    Raises:
        NotAllowedError: not by an administrator.
        SettingError: a login, name, role or password that cannot be.
        ConflictError: the login is taken.
    """
    work.needs("administrator")
    wanted = set(roles)
    if not work.session.scalar(select(func.count()).select_from(PersonRow)):
        wanted.add("administrator")
    person = _checked(login, name, wanted, work)
    if work.session.scalar(select(PersonRow).where(PersonRow.login == login)) is not None:
        raise ConflictError(f"login {login!r}", "somebody has it already", "Choose another")
    row = PersonRow(
        login=person.login,
        name=person.name,
        roles=sorted(person.roles),
        password_hash=None if password is None else hashed(password),
        created_at=work.at,
    )
    work.session.add(row)
    work.session.flush()
    work.journal("added", "person", row.id, {"login": row.login, "roles": row.roles})
    return person_of(row)


def set_password(work: Work, person_id: int, password: str) -> None:
    """A new password, by the person or by an administrator. All sign-ins of that person end.

    Raises:
        NotAllowedError, NotFoundError, SettingError: as for :func:`add_person`.
    """
    if work.person != person_id:
        work.needs("administrator")
    row = work.get(PersonRow, person_id, "person")
    row.password_hash = hashed(password)
    end_all(work, person_id)
    work.journal("got a new password", "person", person_id)


def set_roles(work: Work, person_id: int, roles: Iterable[Role]) -> Person:
    """Other roles, by an administrator. They count from the next piece of work on, for those who are signed in too.

    Raises:
        NotAllowedError: not by an administrator, or it would leave none.
        NotFoundError, SettingError: nobody of that number, no such role.
    """
    work.needs("administrator")
    row = work.get(PersonRow, person_id, "person")
    person = _checked(row.login, row.name, roles, work)
    before = row.roles
    row.roles = sorted(person.roles)
    _keep_an_administrator(work, row)
    work.journal("got other roles", "person", person_id, {"before": before, "after": row.roles})
    return person_of(row)


def set_active(work: Work, person_id: int, *, is_active: bool) -> Person:
    """Sends somebody away, or takes them back, by an administrator. Who is sent away loses sign-ins and tokens.

    Raises:
        NotAllowedError: not by an administrator, or it would leave none.
        NotFoundError: nobody of that number.
    """
    work.needs("administrator")
    row = work.get(PersonRow, person_id, "person")
    row.is_active = is_active
    _keep_an_administrator(work, row)
    if not is_active:
        end_all(work, person_id)
        revoke_all(work, person_id)
    work.journal("came back" if is_active else "left", "person", person_id)
    return person_of(row)


def people(session: Session) -> tuple[Person, ...]:
    """Everybody, by login."""
    return tuple(person_of(row) for row in session.scalars(select(PersonRow).order_by(PersonRow.login)))


def names(session: Session) -> dict[int, str]:
    """Everybody's name by number, also of those who have left."""
    return {row.id: row.name for row in session.execute(select(PersonRow.id, PersonRow.name))}


def person(session: Session, person_id: int) -> Person:
    """The person of that number.

    Raises:
        NotFoundError: nobody has it.
    """
    return person_of(found(session, PersonRow, person_id, "person"))


def person_named(session: Session, login: str) -> Person:
    """The person of that login.

    Raises:
        NotFoundError: nobody has it.
    """
    row = session.scalar(select(PersonRow).where(PersonRow.login == login))
    if row is None:
        raise NotFoundError(f"login {login[:80]!r}", "nobody has it", "Look at the list of people")
    return person_of(row)


def person_of(row: PersonRow) -> Person:
    """The record of a row."""
    return Person.model_validate(
        {
            "id": row.id,
            "login": row.login,
            "name": row.name,
            "roles": row.roles,
            "is_active": row.is_active,
            "created_at": row.created_at,
        }
    )


def _checked(login: str, name: str, roles: Iterable[str], work: Work) -> Person:
    fields = {"id": 1, "login": login, "name": name, "roles": frozenset(roles), "created_at": work.at}
    try:
        return Person.model_validate(fields)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise SettingError(
            f"person {login[:80]!r}: the {first['loc'][0]} cannot be ({first['msg']}). Give another."
        ) from None


def _keep_an_administrator(work: Work, changed: PersonRow) -> None:
    work.session.flush()
    rows = work.session.scalars(select(PersonRow).where(PersonRow.is_active))
    if not any("administrator" in row.roles for row in rows):
        raise NotAllowedError(f"person {changed.login}", _NOBODY_LEFT, "Make somebody else administrator first")
