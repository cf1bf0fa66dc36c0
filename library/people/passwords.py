"""Passwords: only what argon2 makes of them is kept."""

import unicodedata
from functools import cache

from pwdlib import PasswordHash
from pwdlib.exceptions import UnknownHashError
from pwdlib.hashers.argon2 import Argon2Hasher

from vouchbook.models.errors import SettingError

SHORTEST, LONGEST = 15, 256
"""NIST SP 800-63B-4 asks for 15 characters where the password is all there is, and for no rule about which (from
memory). The longest is our choice: argon2 takes any length, a server should not."""

_HASHER = PasswordHash((Argon2Hasher(),))


def hashed(password: str) -> str:
    """What is kept of ``password``: argon2id with its own salt, in the PHC form.

    Raises:
        SettingError: too short or too long.
    """
    plain = _plain(password)
    if not SHORTEST <= len(plain) <= LONGEST:
        raise SettingError(
            f"password: it has {len(plain)} characters. Give {SHORTEST} to {LONGEST}; some words in a row will do."
        )
    return _HASHER.hash(plain)


def fits(password: str, kept: str | None) -> bool:
    """Whether ``password`` is the one of which ``kept`` was made. Takes as long where nothing was kept."""
    if len(password) > 4 * LONGEST:
        return False
    try:
        return _HASHER.verify(_plain(password), kept or _of_nobody()) and bool(kept)
    except UnknownHashError:
        return False


@cache
def _of_nobody() -> str:
    """Something to compare with where nothing was kept: the answer must not come sooner there."""
    return _HASHER.hash("nobody has this password")


def _plain(password: str) -> str:
    """The same letters are the same password on every keyboard."""
    return unicodedata.normalize("NFKC", password)
