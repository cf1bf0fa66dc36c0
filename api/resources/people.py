"""People and the department's settings, for administrators; names for all, who see who decided."""

from fastapi import APIRouter, Response
from pydantic import Field

from vouchbook.api.caller import LibraryOf, Who
from vouchbook.api.documented import problems
from vouchbook.api.reading import Route
from vouchbook.api.resources.sign_in import Password
from vouchbook.api.settings import PREFIX
from vouchbook.api.versions import Number, SeenTag, check_same, told
from vouchbook.library.people.people import add_person, people, person, set_active, set_password, set_roles
from vouchbook.library.review.department import department
from vouchbook.library.review.rules import Department
from vouchbook.library.settings import set_department
from vouchbook.models.people import Person, Role
from vouchbook.models.record import Record

router = APIRouter(tags=["people"], route_class=Route)


class NewPerson(Record):
    """Somebody to add; without a password they cannot sign in yet."""

    login: str = Field(max_length=200)
    name: str = Field(max_length=400)
    roles: frozenset[Role] = frozenset()
    password: Password | None = None


class Roles(Record):
    """The roles of a person, all of them."""

    roles: frozenset[Role]


class GivenPassword(Record):
    """A password that an administrator gives."""

    password: Password


class Presence(Record):
    """Whether a person works here."""

    is_active: bool


@router.get("/people", summary="List people", responses=problems())
def get_people(_who: Who, library: LibraryOf) -> tuple[Person, ...]:
    """Everybody, by login, also those who left."""
    with library.reading() as session:
        return people(session)


@router.post("/people", summary="Add a person", status_code=201, responses=problems(409))
def post_person(wanted: NewPerson, who: Who, library: LibraryOf, response: Response) -> Person:
    """Adds somebody, by an administrator."""
    with library.work(who.actor) as work:
        added = add_person(work, wanted.login, wanted.name, wanted.roles, wanted.password)
    response.headers["location"] = f"{PREFIX}/people/{added.id}"
    return added


@router.get("/people/{person_id}", summary="Look up a person", responses=problems(404))
def get_person(person_id: Number, _who: Who, library: LibraryOf) -> Person:
    """One person."""
    with library.reading() as session:
        return person(session, person_id)


@router.put("/people/{person_id}/roles", summary="Give a person roles", responses=problems(404))
def put_roles(person_id: Number, wanted: Roles, who: Who, library: LibraryOf) -> Person:
    """Other roles, by an administrator; they count at once."""
    with library.work(who.actor) as work:
        return set_roles(work, person_id, wanted.roles)


@router.put(
    "/people/{person_id}/password", summary="Give a person a password", status_code=204, responses=problems(404)
)
def put_password(person_id: Number, wanted: GivenPassword, who: Who, library: LibraryOf) -> None:
    """A new password, by an administrator; all sign-ins of that person end."""
    with library.work(who.actor) as work:
        work.needs("administrator")
        set_password(work, person_id, wanted.password)


@router.put("/people/{person_id}/presence", summary="Send a person away or take them back", responses=problems(404))
def put_presence(person_id: Number, wanted: Presence, who: Who, library: LibraryOf) -> Person:
    """Who leaves loses sign-ins and tokens; what they vouched for stays."""
    with library.work(who.actor) as work:
        return set_active(work, person_id, is_active=wanted.is_active)


@router.get("/department", summary="Read the department's settings", responses=problems())
def get_department(_who: Who, library: LibraryOf, response: Response) -> Department:
    """What holds for all who review, with the ETag that a change names."""
    with library.reading() as session:
        return told(response, department(session))


@router.put("/department", summary="Change the department's settings", responses=problems(412, 428))
def put_department(wanted: Department, who: Who, seen: SeenTag, library: LibraryOf, response: Response) -> Department:
    """All of it, by an administrator. It holds for open drafts too: items may wait again."""
    with library.work(who.actor) as work:
        work.needs("administrator")
        check_same("settings of the department", seen, department(work.session))
        set_department(work, wanted)
        return told(response, department(work.session))
