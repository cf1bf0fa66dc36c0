import pytest

from vouchbook.library.people.passwords import fits, hashed
from vouchbook.models.errors import SettingError

GOOD = "four grey plugs in a row"


def test_a_password_fits_what_was_kept_of_it_and_nothing_else() -> None:
    kept = hashed(GOOD)
    assert kept.startswith("$argon2id$")
    assert GOOD not in kept
    assert fits(GOOD, kept)
    assert not fits(GOOD + " ", kept)
    assert hashed(GOOD) != kept


def test_the_same_letters_from_another_keyboard_are_the_same() -> None:
    assert fits("gru\u0308ne Stecker ziehen", hashed("gr\u00fcne Stecker ziehen"))


@pytest.mark.parametrize("kept", [None, "", "plain text", "$argon2id$broken"])
def test_nothing_fits_what_is_no_hash(kept: str | None) -> None:
    assert not fits("nobody has this password", kept)
    assert not fits("", kept)


@pytest.mark.parametrize("password", ["", "short", "a" * 14, "a" * 257])
def test_too_short_and_too_long_are_refused_without_showing_it(password: str) -> None:
    with pytest.raises(SettingError, match=rf"has {len(password)} characters") as caught:
        hashed(password)
    assert not password or password not in str(caught.value)


def test_an_endless_password_is_not_even_tried() -> None:
    assert not fits("a" * 10_000_000, hashed(GOOD))
