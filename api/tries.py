"""How often somebody may try to sign in: failures are counted by login and by address, by the package ``limits``.

The counts are in the memory of this server: a restart forgets them, and each server has its own.
"""

from hashlib import sha256
from time import time

from limits import RateLimitItem, parse
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

from vouchbook.api.problems import TooManyError
from vouchbook.api.settings import ServerSettings


class Tries:
    """Failed sign-ins of the last minutes."""

    def __init__(self, settings: ServerSettings) -> None:
        self._limiter = MovingWindowRateLimiter(MemoryStorage())
        self._by_login, self._by_address = parse(settings.sign_ins_per_login), parse(settings.sign_ins_per_address)

    def check(self, login: str, address: str) -> None:
        """Refuses another try, before the slow look at the password.

        Raises:
            TooManyError: with the seconds after which there is one again.
        """
        for limit, key in self._limits(login, address):
            if not self._limiter.test(limit, key):
                left_s = max(1, round(self._limiter.get_window_stats(limit, key).reset_time - time()))
                raise TooManyError(f"Sign-in failed too often. Wait {left_s} seconds, then try again.", left_s)

    def failed(self, login: str, address: str) -> None:
        """Counts a failure."""
        for limit, key in self._limits(login, address):
            self._limiter.hit(limit, key)

    def succeeded(self, login: str) -> None:
        """Forgets the failures of a login. Those of an address stay: one good login must not pay for many bad ones."""
        self._limiter.clear(self._by_login, _key("login", login))

    def _limits(self, login: str, address: str) -> tuple[tuple[RateLimitItem, str], ...]:
        return (self._by_login, _key("login", login)), (self._by_address, _key("address", address))


def _key(kind: str, name: str) -> str:
    """A short key for names of any length."""
    return f"{kind} {sha256(name.encode('utf-8', 'surrogatepass')).hexdigest()}"
