"""Looks at passwords: not too often for one login or from one address, few at a time.

Limits are written as the package ``limits`` reads them; the counts are in the library, for all servers of it.
"""

from datetime import datetime, timedelta
from threading import BoundedSemaphore

from limits import parse
from sqlalchemy.orm import Session

from vouchbook.api.problems import TooManyError
from vouchbook.api.settings import ServerSettings
from vouchbook.library.open import Library
from vouchbook.library.people.sessions import proven
from vouchbook.library.people.tries import WAITS_S, Limit, count_try, forget_tries, wait_s
from vouchbook.models.errors import SignInError
from vouchbook.models.people import THE_LIBRARY, Actor

_AT_ONCE = 4
"""One look takes 64 MiB on purpose; a crowd of them must not take the memory of this machine."""


class Tries:
    """Failed sign-ins of the last minutes."""

    def __init__(self, settings: ServerSettings) -> None:
        self._by_login, self._by_address = _limit(settings.sign_ins_per_login), _limit(settings.sign_ins_per_address)
        self._kept_for = max(self._by_login.within, self._by_address.within)
        self._few = BoundedSemaphore(_AT_ONCE)

    def proven(self, library: Library, login: str, password: str, address: str) -> Actor:
        """Who says to be ``login``, if the password is theirs; a good one forgets the failures of its login.

        A try counts for its login before the look, so that many at once are not more than the limit. Those of an
        address count after it and stay: one good login must not pay for many bad ones.

        Raises:
            TooManyError: with the seconds after which there is a try again.
            SignInError: it is not theirs.
            StoreError: somebody has been writing for longer than a try waits.
        """
        by_login, by_address = f"login {login}", f"address {address}"
        with library.reading() as session:  # a flood of tries is refused without a write for each
            self._check(session, library.clock(), by_login, by_address)
        with library.work(THE_LIBRARY, waits_s=WAITS_S) as work:
            self._check(work.session, work.at, by_login, by_address)
            count_try(work, by_login, self._kept_for)
        try:
            with self._few, library.reading() as session:
                actor = proven(session, login, password)
        except SignInError:
            with library.work(THE_LIBRARY, waits_s=WAITS_S) as work:
                count_try(work, by_address, self._kept_for)
            raise
        with library.work(THE_LIBRARY, waits_s=WAITS_S) as work:
            forget_tries(work, by_login)
        return actor

    def _check(self, session: Session, at: datetime, by_login: str, by_address: str) -> None:
        left_s = max(wait_s(session, by_address, self._by_address, at), wait_s(session, by_login, self._by_login, at))
        if left_s:
            raise TooManyError(f"Sign-in failed too often. Wait {left_s} seconds, then try again.", left_s)


def _limit(written: str) -> Limit:
    read = parse(written)
    return Limit(most=read.amount, within=timedelta(seconds=read.get_expiry()))
