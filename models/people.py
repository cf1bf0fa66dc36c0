"""Who works with the library, and as what."""

from typing import Annotated, Literal, get_args

from pydantic import AwareDatetime, Field, StringConstraints

from vouchbook.models.record import Record

Role = Literal["officer", "reviewer", "archivist", "administrator"]
"""An officer brings visits and drafts, a reviewer decides on them, an archivist publishes and keeps, an administrator
looks after people and settings."""
ROLES: tuple[Role, ...] = get_args(Role)

Login = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9._-]{0,63}$")]
PersonName = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120, pattern=r"^[^\x00-\x1f\x7f]*$")
]


class Person(Record):
    """Somebody whom the library knows. People are never deleted: what they vouched for names them."""

    id: int = Field(ge=1)
    login: Login
    name: PersonName
    roles: frozenset[Role]
    is_active: bool = True
    created_at: AwareDatetime


class Actor(Record):
    """On whose behalf something is done. ``person`` is None where the library does it by itself."""

    person: int | None = Field(default=None, ge=1)
    login: str = Field(min_length=1)
    roles: frozenset[Role] = frozenset()


THE_LIBRARY = Actor(login="the library", roles=frozenset(ROLES))
"""Who acts where nobody is signed in: the first administrator is added, background work is done."""


def actor_of(person: Person) -> Actor:
    """``person``, acting."""
    return Actor(person=person.id, login=person.login, roles=person.roles)
