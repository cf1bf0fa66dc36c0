"""Failed tries to sign in, counted where all servers of a library see them, for as long as they count.

Of logins and addresses only hashes are kept, which are short; they would not keep a secret from who guesses names. No
entry of the journal tells of tries, and no bag takes them along.
"""

from datetime import datetime, timedelta
from math import ceil

from sqlalchemy import delete, or_, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.people.secrets import hash_of
from vouchbook.library.store.people_tables import SignInTryRow
from vouchbook.models.record import Record

WAITS_S = 2.0
"""How long a try waits for somebody who writes: whoever signs in is told that the library is busy rather than kept."""


class Limit(Record):
    """So many tries in any stretch of ``within``."""

    most: int
    within: timedelta


def wait_s(session: Session, name: str, limit: Limit, at: datetime) -> int:
    """Seconds until there is another try for ``name``; 0 where there is one now.

    A try of the future counts for no longer than one of now: it was made before the clock was set back.
    """
    asked = select(SignInTryRow.at).where(
        SignInTryRow.name_hash == hash_of(name),
        SignInTryRow.at > at - limit.within,
        SignInTryRow.at <= at + limit.within,
    )
    last = session.scalars(asked.order_by(SignInTryRow.at.desc()).limit(limit.most)).all()
    if len(last) < limit.most:
        return 0
    return max(1, ceil((last[-1] + limit.within - at).total_seconds()))


def count_try(work: Work, name: str, kept_for: timedelta) -> None:
    """Counts a try for ``name``, and forgets all that are older than ``kept_for``."""
    old = or_(SignInTryRow.at <= work.at - kept_for, SignInTryRow.at > work.at + kept_for)
    work.session.execute(delete(SignInTryRow).where(old))
    work.session.add(SignInTryRow(name_hash=hash_of(name), at=work.at))


def forget_tries(work: Work, name: str) -> None:
    """Forgets the tries for ``name``."""
    work.session.execute(delete(SignInTryRow).where(SignInTryRow.name_hash == hash_of(name)))
