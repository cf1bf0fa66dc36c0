"""One piece of work: everything that it changes, and its entries in the journal, come about together or not at all."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any, TypeVar

from sqlalchemy import event
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import Entry
from vouchbook.library.audit.journal import append, entries_about
from vouchbook.library.store.base import Table
from vouchbook.library.store.media import Media
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.store.tables import ItemRow, JournalRow, QuestionRow
from vouchbook.models.errors import NotAllowedError, NotFoundError, StaleError
from vouchbook.models.people import Actor, Role

Clock = Callable[[], datetime]
Row = TypeVar("Row", bound=Table)


def now() -> datetime:
    """The time of this machine, in UTC."""
    return datetime.now(UTC)


class Work:
    """A transaction that may write, on behalf of ``actor``, at one moment ``at``.

    ``library.work(actor)`` makes it and commits it. While it lasts nobody else writes: keep it short, and do before it
    what takes time (reading files, hashing, talking to a network).
    """

    def __init__(self, session: Session, actor: Actor, at: datetime, media: Media) -> None:
        self.session = session
        self.at = at
        self.media = media
        self.actor = as_known(session, actor)
        self._untold = ""
        event.listen(session, "after_flush", self._note_what_changed)

    @property
    def person(self) -> int | None:
        """The number of the person who acts, None where the library does it by itself."""
        return self.actor.person

    def person_id(self) -> int:
        """The number of the person who acts.

        Raises:
            NotAllowedError: nobody is signed in.
        """
        if self.actor.person is None:
            raise NotAllowedError(self.actor.login, "only a person may do this", "Sign in and do it again")
        return self.actor.person

    def needs(self, *roles: Role) -> None:
        """Refuses whoever has none of ``roles``.

        Raises:
            NotAllowedError: with the roles of which one is needed.
        """
        needs(self.actor, *roles)

    def journal(self, act: str, what: str, what_id: object, body: Mapping[str, Any] | None = None) -> Entry:
        """Adds an entry: ``act`` in the past ("confirmed"), ``what`` kind of row, and which.

        The journal is for ever: the body holds no names of participants and no words of theirs, only numbers, keys and
        hashes by which to find them.
        """
        self.session.flush()
        entry = append(self.session, self.at, self.person, act, (what, str(what_id)), body or {})
        self._untold = ""
        return entry

    def get(self, kind: type[Row], number: object, name: str) -> Row:
        """The row with this number; ``name`` says in the message what it is.

        Raises:
            NotFoundError: there is none.
        """
        return found(self.session, kind, number, name)

    def change(self, row: ItemRow | QuestionRow, seen: int) -> None:
        """Counts a change of ``row``, which the person saw in version ``seen``.

        Raises:
            StaleError: it was changed since; the message says how, by whom and when.
        """
        if row.version != seen:
            raise StaleError(
                f"{_kind(row)} {row.key}", self._what_happened(row), "Look at it as it is now, then decide again"
            )
        row.version = seen + 1

    def finish(self) -> None:
        """Before the commit: a change that no entry tells of is a defect of ours and must not come about."""
        self.session.flush()
        if self._untold:
            raise RuntimeError(f"{self._untold} changed and no journal entry says so")

    def _what_happened(self, row: ItemRow | QuestionRow) -> str:
        told = entries_about(self.session, _kind(row), str(row.id))
        if not told:
            return f"it changed to {row.state!r} since you saw it"
        last = told[-1]
        person = self.session.get(PersonRow, last.person) if last.person is not None else None
        return f"{last.act} by {person.name if person else 'the library'} at {last.at:%H:%M:%S} UTC, since you saw it"

    def _note_what_changed(self, session: Session, _context: object) -> None:
        for row in (*session.new, *session.dirty, *session.deleted):
            if isinstance(row, Table) and row.is_journalled and not isinstance(row, JournalRow):
                self._untold = row.__tablename__


def found(session: Session, kind: type[Row], number: object, name: str) -> Row:
    """The row with this number; ``name`` says in the message what it is.

    Raises:
        NotFoundError: there is none.
    """
    row = session.get(kind, number)
    if row is None:
        raise NotFoundError(f"{name} {number}", "the library has none of that number", "Check the number")
    return row


def needs(actor: Actor, *roles: Role) -> None:
    """Refuses an actor who has none of ``roles``.

    Raises:
        NotAllowedError: with the roles of which one is needed.
    """
    if not actor.roles.intersection(roles):
        wanted = " or ".join(f"{'an' if role[0] in 'aeiou' else 'a'} {role}" for role in roles)
        raise NotAllowedError(
            actor.login, f"only {wanted} may do this", "Ask an administrator for the role, or ask one who has it"
        )


def as_known(session: Session, actor: Actor) -> Actor:
    """``actor`` with the roles that count: those which the library has now, not those of when somebody signed in.

    Raises:
        NotAllowedError: nobody of that number works here any more.
    """
    if actor.person is None:
        return actor
    row = session.get(PersonRow, actor.person)
    if row is None or not row.is_active:
        raise NotAllowedError(actor.login, "this person does not work here any more", "Ask an administrator")
    return Actor.model_validate({"person": row.id, "login": row.login, "roles": row.roles})


def _kind(row: ItemRow | QuestionRow) -> str:
    return row.__tablename__
