"""What was verified again, read back: until when an edition counts as looked at, and whether somebody changed that."""

from collections.abc import Iterable, Iterator
from datetime import date

from pydantic import AwareDatetime
from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.audit.journal import TOOK_IN
from vouchbook.library.store.tables import EditionRow, JournalRow, VerificationRow
from vouchbook.models.record import Record

VERIFIED, TOOK_BACK = "verified again", "took back verification of"
"""What the journal calls it."""


class Verification(Record):
    """That somebody looked at an edition again and found it still right; ``how`` says by what.

    One that was taken back stays, with the reason. ``is_one_person`` where one person may have published it, too.
    """

    id: int
    by: str
    at: AwareDatetime
    how: str
    reverify_on: date
    is_one_person: bool = False
    undone_at: AwareDatetime | None = None
    undone_by: str | None = None
    undone_reason: str | None = None

    @property
    def stands(self) -> bool:
        """Whether nobody took it back."""
        return self.undone_at is None


def verifications(
    session: Session, edition_ids: Iterable[int], names: dict[int, str]
) -> dict[int, tuple[Verification, ...]]:
    """All of each edition, in the order in which they were made; ``names`` gives people's names by number."""
    found: dict[int, tuple[Verification, ...]] = dict.fromkeys(edition_ids, ())
    asked = select(VerificationRow).where(VerificationRow.edition_id.in_(found)).order_by(VerificationRow.id)
    for row in session.scalars(asked):
        one = Verification(
            id=row.id,
            by=names[row.person_id],
            at=row.at,
            how=row.how,
            reverify_on=row.reverify_on,
            is_one_person=row.is_one_person,
            undone_at=row.undone_at,
            undone_by=names[row.undone_by] if row.undone_by is not None else None,
            undone_reason=row.undone_reason,
        )
        found[row.edition_id] = (*found[row.edition_id], one)
    return found


def due_on() -> ColumnElement[date]:
    """The day on which an edition is due: that of the newest verification that stands, or else its own."""
    of_edition = (VerificationRow.edition_id == EditionRow.id, VerificationRow.undone_at.is_(None))
    newest = select(VerificationRow.reverify_on).where(*of_edition).order_by(VerificationRow.id.desc()).limit(1)
    return func.coalesce(newest.scalar_subquery(), EditionRow.reverify_on)


def newest_standing(session: Session, edition_id: int) -> VerificationRow | None:
    """The verification by which an edition is due, or None."""
    of_edition = (VerificationRow.edition_id == edition_id, VerificationRow.undone_at.is_(None))
    asked = select(VerificationRow).where(*of_edition).order_by(VerificationRow.id.desc()).limit(1)
    return session.scalars(asked).one_or_none()


def told_of(row: VerificationRow) -> dict[str, object]:
    """What the journal says of a verification: its number, and the hash of all that it says now."""
    columns = VerificationRow.__table__.columns
    said = {name: getattr(row, name) for name in columns.keys() if name != "id"}  # noqa: SIM118  columns, no dict
    plain = {name: value.isoformat() if hasattr(value, "isoformat") else value for name, value in said.items()}
    return {"verification": row.id, "sha256": canonical_sha256(plain)}


def altered_verifications(session: Session) -> Iterator[tuple[int, int, str]]:
    """Edition, number and problem of each verification that is not what the journal tells of, also of those gone."""
    told = _told(session)
    asked = select(VerificationRow).order_by(VerificationRow.id).execution_options(populate_existing=True)
    for row in session.scalars(asked):
        _, sha256 = told.pop(row.id, (0, None))
        if sha256 != told_of(row)["sha256"]:
            yield row.edition_id, row.id, "it is not what the journal tells of"
    for number, (edition_id, _) in sorted(told.items()):
        yield edition_id, number, "the journal tells of it and it is not here"


def _told(session: Session) -> dict[int, tuple[int, object]]:
    """Edition and last hash of each verification that the journal tells of, also of those that came in a bag."""
    found: dict[int, tuple[int, object]] = {}
    of_edition = (JournalRow.what == "edition") & JournalRow.act.in_((VERIFIED, TOOK_BACK))
    came = (JournalRow.what == "visit") & (JournalRow.act == TOOK_IN)
    for entry in session.scalars(select(JournalRow).where(of_edition | came).order_by(JournalRow.seq)):
        if entry.what == "edition":
            found[entry.body["verification"]] = (int(entry.what_id), entry.body["sha256"])
        else:
            for one in entry.body.get("verifications", ()):
                found[one["verification"]] = (one["edition"], one["sha256"])
    return found
