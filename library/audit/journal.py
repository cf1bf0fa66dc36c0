"""The journal in the database: append, read, verify."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import START, Broken, Entry, Head, broken, linked
from vouchbook.library.store.tables import JournalRow

TOOK_IN = "took in"
"""What happened to a visit that came in a bag; its entry holds the hashes of all that came with it."""
_PART = 1000


def append(
    session: Session, at: datetime, person: int | None, act: str, about: tuple[str, str], body: Mapping[str, Any]
) -> Entry:
    """Adds an entry behind the last one, in the transaction of ``session``, which must be the one that may write now.

    Code that changes something calls ``Work.journal``, which calls this.
    """
    entry = linked(_last(session), at, person, act, about, body)
    session.add(
        JournalRow(
            seq=entry.seq,
            at=entry.at,
            person_id=entry.person,
            act=entry.act,
            what=entry.what,
            what_id=entry.what_id,
            body=dict(entry.body),
            before_hash=entry.before_hash,
            own_hash=entry.own_hash,
        )
    )
    session.flush()
    return entry


def head(session: Session) -> Head:
    """The last entry's number and hash; number 0 for a journal in which nothing is."""
    last = session.execute(
        select(JournalRow.seq, JournalRow.own_hash).order_by(JournalRow.seq.desc()).limit(1)
    ).one_or_none()
    return Head(seq=last.seq, own_hash=last.own_hash) if last else Head(seq=0, own_hash=START)


def last_at(session: Session) -> datetime | None:
    """The time of the last entry, None where there is none."""
    return session.scalar(select(JournalRow.at).order_by(JournalRow.seq.desc()).limit(1))


def verify(session: Session, kept: Iterable[Head] = ()) -> Broken | None:
    """The first entry that was edited, deleted or moved, or that does not fit a head that was ``kept``; else None."""
    last = 0

    def counted(part: int) -> Iterator[Entry]:
        nonlocal last
        for entry in entries(session, part=part):
            yield entry
            last = entry.seq

    heads = tuple(kept)
    for part in (_PART, 1):  # what cannot be read at all fails with its whole part: again, one by one
        try:
            return broken(counted(part), heads)
        except (ValueError, LookupError):
            continue
    return Broken(seq=last + 1, sentence=f"Entry {last + 1} is not what was written: it is no entry any more.")


def entries(session: Session, after: int = 0, *, part: int = _PART) -> Iterator[Entry]:
    """All entries with a number above ``after``, in order."""
    while True:
        asked = select(JournalRow).where(JournalRow.seq > after).order_by(JournalRow.seq).limit(part)
        rows = session.scalars(asked, execution_options={"populate_existing": True}).all()
        for row in rows:
            yield _entry(row)
            after = row.seq
            session.expunge(row)
        if len(rows) < part:
            return


def entries_about(session: Session, what: str, what_id: str) -> tuple[Entry, ...]:
    """What happened to one row, in order."""
    asked = select(JournalRow).where(JournalRow.what == what, JournalRow.what_id == what_id).order_by(JournalRow.seq)
    return tuple(_entry(row) for row in session.scalars(asked))


def _last(session: Session) -> Entry | None:
    row = session.scalars(select(JournalRow).order_by(JournalRow.seq.desc()).limit(1)).one_or_none()
    return _entry(row) if row else None


def _entry(row: JournalRow) -> Entry:
    return Entry(
        seq=row.seq,
        at=row.at,
        person=row.person_id,
        act=row.act,
        what=row.what,
        what_id=row.what_id,
        body=row.body,
        before_hash=row.before_hash,
        own_hash=row.own_hash,
    )
