from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import select

from vouchbook.library.audit.journal import entries
from vouchbook.library.open import Library
from vouchbook.library.people.people import set_password
from vouchbook.library.people.sessions import (
    IDLE,
    LASTS,
    SignedIn,
    check_csrf,
    needs_touch,
    proven,
    sign_in,
    sign_out,
    signed_in,
    touch,
)
from vouchbook.library.people.tokens import actor_of_token, make_token, revoke, tokens
from vouchbook.library.store.people_tables import AccessTokenRow, SignInRow
from vouchbook.models.errors import NotAllowedError, SettingError, SignInError
from vouchbook.models.people import THE_LIBRARY, Actor

GOOD = "four grey plugs in a row"


@pytest.fixture
def known(library: Library, staff: dict[str, Actor]) -> SignedIn:
    with library.work(staff["officer"]) as work:
        return sign_in(work)


def whom(library: Library, token: str) -> str | None:
    with library.reading() as session:
        try:
            return signed_in(session, token, library.clock()).actor.login
        except SignInError:
            return None


def goes_by(library: Library, span: timedelta) -> None:
    library.clock.at += span  # type: ignore[attr-defined]


def test_login_and_password_say_who_it_is(library: Library, staff: dict[str, Actor]) -> None:
    assert staff["officer"].person is not None
    with library.work(staff["officer"]) as work:
        set_password(work, staff["officer"].person, GOOD)
    with library.reading() as session:
        assert proven(session, "olin", GOOD) == staff["officer"]
        wrong = [("olin", GOOD + "!"), ("runa", GOOD), ("nobody", GOOD), ("olin", ""), ("", ""), ("ol\0in", "x")]
        said = set()
        for login, password in wrong:
            with pytest.raises(SignInError) as caught:
                proven(session, login, password)
            said.add(str(caught.value))
    assert len(said) == 1


def test_a_sign_in_is_known_by_its_token_alone(library: Library, known: SignedIn) -> None:
    assert whom(library, known.token) == "olin"
    assert [whom(library, other) for other in ("", known.token + "x", known.csrf, known.token.upper())] == [None] * 4
    assert len({known.token, known.csrf}) == 2


def test_of_secrets_only_hashes_are_kept(library: Library, staff: dict[str, Actor], known: SignedIn) -> None:
    with library.work(staff["officer"]) as work:
        _, secret = make_token(work, "nightly")
    with library.reading() as session:
        rows = [*session.scalars(select(SignInRow)), *session.scalars(select(AccessTokenRow))]
        kept = str([vars(row) for row in rows]) + str([entry.body for entry in entries(session)])
    assert len(rows) == 2
    assert known.token not in kept
    assert known.csrf not in kept
    assert secret not in kept


def test_it_ends_after_a_shift_even_if_somebody_works(library: Library, known: SignedIn) -> None:
    for _ in range(int(LASTS / timedelta(hours=1)) - 1):
        goes_by(library, timedelta(hours=1))
        assert whom(library, known.token) == "olin"
        with library.work(THE_LIBRARY) as work:
            touch(work, known.token)
    goes_by(library, timedelta(hours=1))
    assert whom(library, known.token) is None


def test_it_ends_when_nobody_works(library: Library, known: SignedIn) -> None:
    goes_by(library, IDLE)
    assert whom(library, known.token) is None
    with library.work(THE_LIBRARY) as work:
        touch(work, known.token)
    assert whom(library, known.token) is None


@pytest.mark.parametrize("back", [timedelta(days=3000), IDLE + timedelta(minutes=1)])
def test_one_of_a_clock_that_ran_ahead_ends_when_the_clock_is_set_right(
    library: Library, known: SignedIn, back: timedelta
) -> None:
    """It would last until the time that the clock showed has come, and a shift more."""
    assert whom(library, known.token) == "olin"
    goes_by(library, -back)
    assert whom(library, known.token) is None
    with library.work(THE_LIBRARY) as work:
        touch(work, known.token)
    assert whom(library, known.token) is None


def test_a_clock_that_is_set_back_a_little_ends_nothing(library: Library, known: SignedIn) -> None:
    goes_by(library, -timedelta(hours=1))  # from summer time, on a machine that keeps no UTC
    assert whom(library, known.token) == "olin"
    with library.work(THE_LIBRARY) as work:
        touch(work, known.token)
    goes_by(library, timedelta(hours=1))
    assert whom(library, known.token) == "olin"


def test_it_is_noted_once_a_minute_that_somebody_works(library: Library, known: SignedIn) -> None:
    with library.reading() as session:
        assert not needs_touch(session, known.token, library.clock())
        goes_by(library, timedelta(minutes=1))
        assert needs_touch(session, known.token, library.clock())


def test_who_signs_out_is_out(library: Library, known: SignedIn) -> None:
    for _ in range(2):
        with library.work(known.actor) as work:
            sign_out(work, known.token)
        assert whom(library, known.token) is None


def test_a_form_carries_the_secret_of_its_sign_in(library: Library, staff: dict[str, Actor], known: SignedIn) -> None:
    with library.work(staff["reviewer"]) as work:
        other = sign_in(work)
    with library.reading() as session:
        check_csrf(session, known.token, known.csrf)
        for token, csrf in (
            (known.token, other.csrf),
            (known.token, ""),
            (known.token, known.token),
            ("x", known.csrf),
        ):
            with pytest.raises(NotAllowedError, match="does not come from a page"):
                check_csrf(session, token, csrf)


def test_a_token_acts_for_its_person_until_its_end(library: Library, staff: dict[str, Actor]) -> None:
    with library.work(staff["officer"]) as work:
        token, secret = make_token(work, "nightly", work.at + timedelta(days=1))
    with library.reading() as session:
        assert actor_of_token(session, secret, library.clock()) == staff["officer"]
        assert tokens(session, token.person) == (token,)
        goes_by(library, timedelta(days=1))
        with pytest.raises(SignInError, match="not valid"):
            actor_of_token(session, secret, library.clock())


@pytest.mark.parametrize("who", ["officer", "administrator"])
def test_a_revoked_token_is_worth_nothing(library: Library, staff: dict[str, Actor], who: str) -> None:
    with library.work(staff["officer"]) as work:
        token, secret = make_token(work, "nightly")
    with library.work(staff[who]) as work:
        assert revoke(work, token.id).revoked_at is not None
    with library.reading() as session, pytest.raises(SignInError):
        actor_of_token(session, secret, library.clock())


def test_nobody_revokes_anothers_token(library: Library, staff: dict[str, Actor]) -> None:
    with library.work(staff["officer"]) as work:
        token, _ = make_token(work, "nightly")
    with pytest.raises(NotAllowedError), library.work(staff["reviewer"]) as work:
        revoke(work, token.id)


@pytest.mark.parametrize(
    ("name", "ends", "says"),
    [("", None, "1 to 80"), ("a\nb", None, "1 to 80"), ("x" * 81, None, "1 to 80"), ("n", timedelta(0), "passed")],
)
def test_a_token_that_cannot_be_is_refused(
    library: Library, staff: dict[str, Actor], name: str, ends: timedelta | None, says: str
) -> None:
    with pytest.raises(SettingError, match=says), library.work(staff["officer"]) as work:
        make_token(work, name, work.at + ends if ends is not None else None)


@pytest.mark.parametrize("act", [sign_in, lambda work: make_token(work, "n")], ids=["sign in", "token"])
def test_the_library_itself_has_neither(library: Library, act: Callable[..., object]) -> None:
    with pytest.raises(NotAllowedError, match="only a person"), library.work(THE_LIBRARY) as work:
        act(work)
