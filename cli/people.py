"""``vouchbook people``: who works with the library, and as what."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened, password_of
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library
    from vouchbook.models.people import Actor, Role

NAME = "people"
SUMMARY = "Who works with the library, and as what."
HELP = """List the people of the library, add somebody, change roles, or make a token for scripts.

The first person who is added becomes administrator; a library that is not there is made for them. Roles are officer
(brings visits), reviewer (decides), archivist (publishes and keeps) and administrator (people and settings).

\b
Examples:
  vouchbook people
  vouchbook people add ada --name "Ada Orm" --role reviewer
  vouchbook people roles ada --role officer --role reviewer --as olin
  vouchbook people password ada --as ada
  vouchbook people token ada --name "nightly list" --as ada
  vouchbook people leave ada --as olin
"""


class Action(StrEnum):
    """What can be done with people."""

    LIST = "list"
    ADD = "add"
    ROLES = "roles"
    PASSWORD = "password"  # noqa: S105  a word of the command
    TOKEN = "token"  # noqa: S105
    LEAVE = "leave"
    RETURN = "return"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")] = Action.LIST,
    person: Annotated[str | None, typer.Argument(metavar="LOGIN", help="Whom it is about.")] = None,
    name: Annotated[str, typer.Option("--name", help="Name of the person, or of the token.")] = "",
    role: Annotated[list[str] | None, typer.Option("--role", help="A role; repeat for more.")] = None,
    no_password: Annotated[bool, typer.Option("--no-password", help="Add somebody who cannot sign in yet.")] = False,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The people, printed; or one of them added or changed."""
    from vouchbook.library.people.people import people

    with opened(library, media, may_make=action is Action.ADD) as kept:
        if action is Action.LIST:
            with kept.reading() as session:
                for one in people(session):
                    away = "" if one.is_active else "  (left)"
                    say(f"{one.login:16} {one.name:24} {', '.join(sorted(one.roles))}{away}")
            return
        if person is None:
            raise SettingError(f"people {action}: nobody was named. Give a LOGIN.")
        if action is Action.ADD:
            _add(kept, login, person, name or person, role or [], no_password=no_password)
        else:
            _change(kept, acting(kept, login), action, person, name, role or [])


def _add(library: "Library", login: str | None, person: str, name: str, roles: list[str], *, no_password: bool) -> None:
    from vouchbook.library.people.people import add_person, people
    from vouchbook.models.people import THE_LIBRARY

    with library.reading() as session:
        is_first = not people(session)
    actor = THE_LIBRARY if is_first else acting(library, login)
    password = None if no_password else password_of(person, is_new=True)
    with library.work(actor) as work:
        added = add_person(work, person, name, _roles(roles), password)
    say(f"Added {added.login}: {', '.join(sorted(added.roles)) or 'no role'}")


def _change(library: "Library", actor: "Actor", action: Action, person: str, name: str, roles: list[str]) -> None:
    from vouchbook.library.people.people import person_named, set_active, set_password, set_roles
    from vouchbook.library.people.tokens import make_token

    with library.reading() as session:
        about = person_named(session, person)
    if action is Action.TOKEN and about.id != actor.person:
        raise SettingError(f"people token: {person} makes their own. Sign in as {person}.")
    password = password_of(person, is_new=True) if action is Action.PASSWORD else ""
    with library.work(actor) as work:
        if action is Action.ROLES:
            done = ", ".join(sorted(set_roles(work, about.id, _roles(roles)).roles)) or "no role"
        elif action is Action.PASSWORD:
            set_password(work, about.id, password)
            done = "a new password"
        elif action is Action.TOKEN:
            done = make_token(work, name or "command line")[1]
        else:
            set_active(work, about.id, is_active=action is Action.RETURN)
            done = "works here" if action is Action.RETURN else "works here no more"
    say(done if action is Action.TOKEN else f"{person}: {done}")


def _roles(given: list[str]) -> "list[Role]":
    """The roles as they are; a word that is none is refused where people are added."""
    return given  # type: ignore[return-value]
