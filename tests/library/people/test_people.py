from collections.abc import Callable

import pytest

from vouchbook.library.actor import Work
from vouchbook.library.audit.journal import entries
from vouchbook.library.open import Library
from vouchbook.library.people.people import (
    add_person,
    people,
    person,
    person_named,
    set_active,
    set_password,
    set_roles,
)
from vouchbook.library.people.sessions import proven, sign_in, signed_in
from vouchbook.library.people.tokens import actor_of_token, make_token
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError, SettingError, SignInError
from vouchbook.models.people import THE_LIBRARY, Actor, Role

GOOD = "four grey plugs in a row"


def test_the_first_person_is_an_administrator_whatever_was_asked(library: Library) -> None:
    with library.work(THE_LIBRARY) as work:
        first, second = add_person(work, "ada", "Ada", ["officer"]), add_person(work, "olin", "Olin", ["officer"])
    assert first.roles == {"officer", "administrator"}
    assert second.roles == {"officer"}
    with library.reading() as session:
        assert people(session) == (first, second)
        assert person(session, second.id) == person_named(session, "olin") == second


@pytest.mark.parametrize(
    ("login", "name", "roles", "says"),
    [
        ("", "Ada", ["officer"], "login"),
        ("Ada", "Ada", ["officer"], "login"),
        ("../ada", "Ada", ["officer"], "login"),
        ("ada\n", "Ada", ["officer"], "login"),
        ("ada", " ", ["officer"], "name"),
        ("ada", "A\x00da", ["officer"], "name"),
        ("ada", "Ada", ["king"], "roles"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(
    library: Library, login: str, name: str, roles: list[Role], says: str
) -> None:
    with pytest.raises(SettingError, match=f"the {says} cannot be") as caught, library.work(THE_LIBRARY) as work:
        add_person(work, login, name, roles)
    assert "\n" not in str(caught.value)


def test_a_login_is_given_once(library: Library, staff: dict[str, Actor]) -> None:
    with pytest.raises(ConflictError, match="somebody has it"), library.work(staff["administrator"]) as work:
        add_person(work, "olin", "Another Olin", [])


@pytest.mark.parametrize(
    "act",
    [
        pytest.param(lambda work: add_person(work, "new", "New", []), id="add"),
        pytest.param(lambda work: set_roles(work, 2, ["administrator"]), id="roles"),
        pytest.param(lambda work: set_active(work, 1, is_active=False), id="send away"),
        pytest.param(lambda work: set_password(work, 1, GOOD), id="another's password"),
    ],
)
def test_only_an_administrator_looks_after_people(
    library: Library, staff: dict[str, Actor], act: Callable[[Work], object]
) -> None:
    with pytest.raises(NotAllowedError, match="only an administrator"), library.work(staff["officer"]) as work:
        act(work)


@pytest.mark.parametrize(
    "act",
    [
        pytest.param(lambda work: set_roles(work, 1, ["officer"]), id="other roles"),
        pytest.param(lambda work: set_active(work, 1, is_active=False), id="sent away"),
    ],
)
def test_somebody_must_stay_to_look_after_people(
    library: Library, staff: dict[str, Actor], act: Callable[[Work], object]
) -> None:
    with pytest.raises(NotAllowedError, match="no administrator"), library.work(staff["administrator"]) as work:
        act(work)
    with library.reading() as session:
        assert person(session, 1).roles == {"administrator"}
        assert person(session, 1).is_active


def test_who_leaves_is_signed_out_everywhere_and_not_in_again(library: Library, staff: dict[str, Actor]) -> None:
    officer = staff["officer"].person
    assert officer is not None
    with library.work(staff["officer"]) as work:
        set_password(work, officer, GOOD)
    with library.work(staff["officer"]) as work:
        session_token, (_, secret) = sign_in(work).token, make_token(work, "nightly")
    with library.work(staff["administrator"]) as work:
        assert not set_active(work, officer, is_active=False).is_active
    with library.work(staff["administrator"]) as work:
        set_active(work, officer, is_active=True)
    with library.reading() as session:
        for check in (
            lambda: signed_in(session, session_token, library.clock()),
            lambda: actor_of_token(session, secret, library.clock()),
        ):
            with pytest.raises(SignInError):
                check()
        assert proven(session, "olin", GOOD).person == officer


def test_a_new_password_ends_all_sign_ins_and_is_never_told(library: Library, staff: dict[str, Actor]) -> None:
    officer = staff["officer"].person
    assert officer is not None
    with library.work(staff["officer"]) as work:
        token = sign_in(work).token
    with library.work(staff["administrator"]) as work:
        set_password(work, officer, GOOD)
    with library.reading() as session:
        with pytest.raises(SignInError):
            signed_in(session, token, library.clock())
        told = str([entry.body for entry in entries(session)])
    assert GOOD not in told
    assert "argon2" not in told


def test_nobody_of_that_number_or_login_is_told(library: Library) -> None:
    with library.reading() as session:
        with pytest.raises(NotFoundError, match="person 9"):
            person(session, 9)
        with pytest.raises(NotFoundError, match="nobody has it"):
            person_named(session, "nobody")
