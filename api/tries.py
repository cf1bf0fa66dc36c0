"""Looks at passwords: not too often for one login or from one address (by the package ``limits``), few at a time.

The counts are in the memory of this server: a restart forgets them, and each server has its own.
"""

from hashlib import sha256
from threading import BoundedSemaphore
from time import time

from limits import RateLimitItem, parse
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

from vouchbook.api.problems import TooManyError
from vouchbook.api.settings import ServerSettings
from vouchbook.library.open import Library
from vouchbook.library.people.sessions import proven
from vouchbook.models.errors import SignInError
from vouchbook.models.people import Actor

_AT_ONCE = 4
"""One look takes 64 MiB on purpose; a crowd of them must not take the memory of this machine."""


class Tries:
    """Failed sign-ins of the last minutes."""

    def __init__(self, settings: ServerSettings) -> None:
        self._limiter = MovingWindowRateLimiter(MemoryStorage())
        self._by_login, self._by_address = parse(settings.sign_ins_per_login), parse(settings.sign_ins_per_address)
        self._few = BoundedSemaphore(_AT_ONCE)

    def proven(self, library: Library, login: str, password: str, address: str) -> Actor:
        """Who says to be ``login``, if the password is theirs; a good one forgets the failures of its login.

        A try counts for its login before the look, so that many at once are not more than the limit. Those of an
        address count after it and stay: one good login must not pay for many bad ones.

        Raises:
            TooManyError: with the seconds after which there is a try again.
            SignInError: it is not theirs.
        """
        by_login, by_address = _key("login", login), _key("address", address)
        if not self._limiter.test(self._by_address, by_address):
            raise self._too_many(self._by_address, by_address)
        if not self._limiter.hit(self._by_login, by_login):
            raise self._too_many(self._by_login, by_login)
        try:
            with self._few, library.reading() as session:
                actor = proven(session, login, password)
        except SignInError:
            self._limiter.hit(self._by_address, by_address)
            raise
        self._limiter.clear(self._by_login, by_login)
        return actor

    def _too_many(self, limit: RateLimitItem, key: str) -> TooManyError:
        left_s = max(1, round(self._limiter.get_window_stats(limit, key).reset_time - time()))
        return TooManyError(f"Sign-in failed too often. Wait {left_s} seconds, then try again.", left_s)


def _key(kind: str, name: str) -> str:
    """A short key for names of any length."""
    return f"{kind} {sha256(name.encode('utf-8', 'surrogatepass')).hexdigest()}"
