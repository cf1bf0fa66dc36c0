"""Looks through the whole library: what it says of itself must fit, and every medium must be what was stored."""

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Column, func, select, text
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import START, Head, canonical_sha256
from vouchbook.library.audit.journal import TOOK_IN, entries, head, verify
from vouchbook.library.editions.verifications import altered_verifications
from vouchbook.library.open import Library
from vouchbook.library.store.base import Table
from vouchbook.library.store.tables import (
    DraftRow,
    EditionRow,
    HoldRow,
    MediumRow,
    SentenceRow,
    VerificationRow,
    VisitRow,
)
from vouchbook.library.visits.media import kept_media
from vouchbook.models.record import Record

_MOST = 20
"""Sentences that are told about one thing; the others are counted."""


class Finding(Record):
    """One thing that was looked at: how many of it, what is wrong with it, and what is odd but harms nothing."""

    what: str
    looked_at: int
    wrong: tuple[str, ...] = ()
    odd: tuple[str, ...] = ()


class Report(Record):
    """All findings, and the journal's head as it is (number 0 where the database is damaged): keep it elsewhere."""

    head: Head
    findings: tuple[Finding, ...]

    @property
    def is_sound(self) -> bool:
        """Whether nothing is wrong."""
        return not any(finding.wrong for finding in self.findings)

    def wrong(self) -> tuple[str, ...]:
        """Everything that is wrong, one sentence each."""
        return tuple(sentence for finding in self.findings for sentence in finding.wrong)


def check(library: Library, kept: Iterable[Head] = ()) -> Report:
    """Looks through everything; reads each medium from its first byte to its last. People may work meanwhile.

    ``kept`` are heads of the journal that were kept elsewhere.

    Raises:
        StoreError: the database cannot be read at all.
    """
    with library.reading() as session:
        inside = check_rows(session, kept)
        if inside[0].wrong:  # whatever else was asked of it might fail
            return Report(head=Head(seq=0, own_hash=START), findings=inside)
        known = kept_media(session)
        removed = session.scalars(select(MediumRow.sha256).where(MediumRow.removed_at.is_not(None))).all()
        end = head(session)
    return Report(head=end, findings=(*inside, _media(library, known, removed)))


def check_rows(session: Session, kept: Iterable[Head] = ()) -> tuple[Finding, ...]:
    """What can be seen without the media: the database, its references, the journal, drafts, editions, index."""
    database = _database(session)
    if database.wrong:
        return (database,)
    told = _hashes_of_the_journal(session)
    return (
        database,
        _references(session),
        _journal(session, kept),
        _hashed(session, "drafts", select(DraftRow.id, DraftRow.document, DraftRow.document_sha256), told),
        _hashed(session, "editions", select(EditionRow.id, EditionRow.content, EditionRow.content_sha256), told),
        _verifications(session),
        _holds(session),
        _index(session),
    )


def _database(session: Session) -> Finding:
    if session.get_bind().dialect.name != "sqlite":
        return Finding(what="database", looked_at=1)
    said = session.connection().exec_driver_sql(f"PRAGMA integrity_check({_MOST})").scalars().all()
    return Finding(what="database", looked_at=1, wrong=_first(f"Database: {one}." for one in said if one != "ok"))


def _references(session: Session) -> Finding:
    """Each reference by itself: neither database looks at those that are there already."""
    columns = [column for table in Table.metadata.sorted_tables for column in table.columns if column.foreign_keys]
    wrong: list[str] = []
    for column in columns:
        wrong.extend(_pointing_nowhere(session, column))
    return Finding(what="references", looked_at=len(columns), wrong=_first(wrong))


def _pointing_nowhere(session: Session, column: Column[Any]) -> Iterator[str]:
    (key,) = column.foreign_keys
    there = key.column.table.alias()
    own = next(iter(column.table.primary_key.columns))
    lost = select(own, column).outerjoin(there, there.c[key.column.name] == column).where(column.is_not(None))
    for number, target in session.execute(lost.where(there.c[key.column.name].is_(None)).limit(_MOST)):
        yield f"{column.table.name} {number}: its {column.name} {target} is not there."


def _journal(session: Session, kept: Iterable[Head]) -> Finding:
    found = verify(session, kept)
    return Finding(what="journal entries", looked_at=head(session).seq, wrong=(found.sentence,) if found else ())


def _hashes_of_the_journal(session: Session) -> dict[tuple[str, int], str]:
    """The hash of each draft and edition, as the journal has it of the day on which it came."""
    told: dict[tuple[str, int], str] = {}
    try:
        for entry in entries(session):
            for name, kind in (("document_sha256", "drafts"), ("content_sha256", "editions")):
                if name in entry.body and entry.what == kind.removesuffix("s") and entry.what_id.isdecimal():
                    told.setdefault((kind, int(entry.what_id)), entry.body[name])
            if entry.act == TOOK_IN:  # a visit of another library, with all that was published of it
                for kind in ("drafts", "editions"):
                    told |= {(kind, int(number)): sha256 for number, sha256 in entry.body[kind].items()}
    except (ValueError, LookupError):
        pass  # the journal itself is broken, which the next finding says
    return told


def _hashed(session: Session, what: str, asked: Any, told: dict[tuple[str, int], str]) -> Finding:  # noqa: ANN401
    wrong, count = [], 0
    name = what.removesuffix("s")
    for number, content, sha256 in session.execute(asked.execution_options(yield_per=50)):
        count += 1
        if canonical_sha256(content) != sha256:
            wrong.append(f"{name} {number}: it is not what was stored. Restore it from a backup.")
        elif told.get((what, number), sha256) != sha256:
            wrong.append(f"{name} {number}: it is another than the journal tells of. Restore it from a backup.")
    table = DraftRow if what == "drafts" else EditionRow
    there = set(session.scalars(select(table.id)))
    wrong.extend(f"{name} {number}: the journal tells of it, and it is not there." for kind, number in told
                 if kind == what and number not in there)  # fmt: skip
    return Finding(what=what, looked_at=count, wrong=_first(wrong))


def _verifications(session: Session) -> Finding:
    count = session.scalar(select(func.count()).select_from(VerificationRow)) or 0
    wrong = (f"verification {number} of edition {edition_id}: {problem}. Restore it from a backup."
             for edition_id, number, problem in altered_verifications(session))  # fmt: skip
    return Finding(what="verifications", looked_at=count, wrong=_first(wrong))


def _holds(session: Session) -> Finding:
    standing = (
        select(func.count())
        .select_from(HoldRow)
        .where(HoldRow.visit_id == VisitRow.id, HoldRow.lifted_at.is_(None))
        .scalar_subquery()
    )
    rows = session.execute(select(VisitRow.key, VisitRow.hold_count, standing)).all()
    wrong = (
        f"visit {key}: it counts {count} holds, and {found} stand." for key, count, found in rows if count != found
    )
    return Finding(what="counts of holds", looked_at=len(rows), wrong=_first(wrong))


def _index(session: Session) -> Finding:
    count = session.scalar(select(func.count()).select_from(SentenceRow)) or 0
    indexed = session.execute(text("SELECT count(*) FROM sentence_place")).scalar_one()
    wrong = (f"index: it has {indexed} of {count} sentences.",) if indexed != count else ()
    return Finding(what="sentences", looked_at=count, wrong=wrong)


def _media(library: Library, known: Iterable[tuple[str, int]], removed: Iterable[str]) -> Finding:
    known, gone = tuple(known), set(removed)
    wrong, odd = [], []
    for trouble in library.media.troubles(known):
        if trouble.kind != "unknown":
            wrong.append(trouble.sentence)
        elif trouble.sha256 in gone:
            wrong.append(f"medium {trouble.sha256}: it was removed, and its file is still there.")
        else:
            odd.append(trouble.sentence)
    return Finding(what="media", looked_at=len(known), wrong=_first(wrong), odd=_first(odd))


def _first(sentences: Iterable[str]) -> tuple[str, ...]:
    told = tuple(" ".join(sentence.split()) for sentence in sentences)
    return told if len(told) <= _MOST else (*told[:_MOST], f"And {len(told) - _MOST} more.")
