"""Who is heard or seen in a visit, written down or put right after it was added: only who is named can be asked."""

from collections.abc import Iterable

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.keeping.consent import consent_of
from vouchbook.library.keeping.holds import holds
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.store.tables import ParticipantRow, SentenceRow, VisitRow
from vouchbook.library.visits.visits import participant_of, participant_rows
from vouchbook.models.errors import ConflictError
from vouchbook.models.visits import Participant


def add_participant(work: Work, visit_id: int, participant: Participant) -> int:
    """Writes down that somebody took part; gives their number. The same again, with part and voice, changes nothing.

    Raises:
        NotAllowedError: not by an officer, archivist or administrator.
        NotFoundError: no such visit.
        ConflictError: the voice is that of another participant.
    """
    work.needs("officer", *KEEPERS)
    work.get(VisitRow, visit_id, "visit")
    rows = participant_rows(work.session, visit_id)
    for row in rows:
        if participant_of(row) == participant:
            return row.id
    _check_voice(rows, participant)
    row = ParticipantRow(visit_id=visit_id, **participant.model_dump())
    work.session.add(row)
    work.session.flush()
    work.journal("named", "participant", row.id, {"visit": visit_id, "part": participant.part})
    return row.id


def correct_participant(work: Work, participant_id: int, participant: Participant) -> None:
    """Puts right how somebody is written down; what they agreed to stays theirs. The journal repeats no name.

    A name that was withdrawn does not come back by a correction, and under a legal hold everything stays as it is.

    Raises:
        NotAllowedError: not by an officer, archivist or administrator.
        NotFoundError: no such participant.
        ConflictError: the voice is that of another, the name was withdrawn, or a hold stands on the visit.
    """
    work.needs("officer", *KEEPERS)
    row = work.get(ParticipantRow, participant_id, "participant")
    fields = participant.model_dump()
    changed = sorted(name for name, value in fields.items() if getattr(row, name) != value)
    if not changed:
        return
    if holds(work.session, visit_id=row.visit_id):
        raise ConflictError(f"participant {row.id}", "a legal hold stands on the visit", "Lift the hold first")
    if "name" in changed and "name" in consent_of(work.session, row.id).withdrawn:
        raise ConflictError(
            f"participant {row.id}", "the consent to be named was withdrawn", "Write down first that it is given again"
        )
    others = (one for one in participant_rows(work.session, row.visit_id) if one.id != row.id)
    _check_voice(others, participant)
    for name in changed:
        setattr(row, name, fields[name])
    work.journal("corrected", "participant", row.id, {"changed": changed})


def voices_of_nobody(session: Session, visit_id: int) -> tuple[str, ...]:
    """The voices in the talk of a visit that no participant has, in the order in which they are first heard.

    Raises:
        NotFoundError: no such visit.
    """
    found(session, VisitRow, visit_id, "visit")
    lines = select(SentenceRow.voice).where(SentenceRow.visit_id == visit_id, SentenceRow.item_id.is_(None))
    heard = session.scalars(lines.group_by(SentenceRow.voice).order_by(func.min(SentenceRow.id)))
    known = {row.voice for row in participant_rows(session, visit_id)}
    return tuple(voice for voice in heard if voice is not None and voice not in known)


def _check_voice(others: Iterable[ParticipantRow], participant: Participant) -> None:
    for one in others:
        if participant.voice is not None and one.voice == participant.voice:
            raise ConflictError(
                f"voice {participant.voice[:80]!r}", f"it is that of participant {one.id}", "Give another, or none"
            )
