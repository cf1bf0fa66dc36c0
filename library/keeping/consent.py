"""Consent of each person in a recording: given, withdrawn, and what a withdrawal takes out of sight."""

from collections.abc import Iterable, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.keeping.kept import KeptMedium
from vouchbook.library.keeping.removal import CONSENT, KEEPERS, WHEN_FREE, Gone, finish_removals, hide, is_held, remove
from vouchbook.library.open import Library
from vouchbook.library.store.tables import (
    ConsentRow,
    DraftRow,
    EditionRow,
    HoldRow,
    MediumRow,
    ParticipantRow,
    VisitMediumRow,
)
from vouchbook.library.visits.visits import participant_of, participant_rows
from vouchbook.models.people import Actor
from vouchbook.models.record import Record
from vouchbook.models.visits import Consent, Covers, MediumRole, Participant

NO_NAME = "name withheld"
_SHOWS: dict[Covers, tuple[MediumRole, ...]] = {"voice": ("recording",), "picture": ("recording", "still"), "name": ()}
"""What each withdrawal takes: a recording has voice and picture in one file. Captions and drafts hold words alone."""
_CAPTIONS_STAY = "Captions stay: they are kept as words; only what lets somebody hear or see the person is hidden."


class Standing(Record):
    """Where one participant stands: what holds now, what was withdrawn, and the whole history, oldest first."""

    participant_id: int
    participant: Participant
    agreed: frozenset[Covers]
    withdrawn: frozenset[Covers]
    history: tuple[Consent, ...]


class Withdrawal(Record):
    """What a withdrawal did: media that went, and one sentence for each thing that stays.

    ``is_new`` is False where it was written down already, which is not written down twice.
    """

    gone: tuple[Gone, ...]
    stays: tuple[str, ...]
    is_new: bool = True


def agreed_to(history: Iterable[Consent]) -> tuple[frozenset[Covers], frozenset[Covers]]:
    """What is agreed to after ``history`` (oldest first), and what was withdrawn: the last word on each counts."""
    last: dict[Covers, bool] = {}
    for one in history:
        last |= dict.fromkeys(one.covers, one.given)
    return frozenset(c for c, given in last.items() if given), frozenset(c for c, given in last.items() if not given)


def consents_of(session: Session, visit_id: int) -> tuple[Standing, ...]:
    """Where each participant of a visit stands, in the order in which they were added."""
    return tuple(_standing(session, row) for row in participant_rows(session, visit_id))


def consent_of(session: Session, participant_id: int) -> Standing:
    """Where one participant stands.

    Raises:
        NotFoundError: no such participant.
    """
    return _standing(session, found(session, ParticipantRow, participant_id, "participant"))


def give(work: Work, participant_id: int, covers: Iterable[Covers], note: str = "") -> Standing:
    """Writes down that somebody agreed. What was hidden stays hidden until somebody who keeps the library shows it.

    Raises:
        NotAllowedError: not by an officer, archivist or administrator.
        NotFoundError: no such participant.
        pydantic.ValidationError: it covers nothing, or the note holds control characters.
    """
    return _standing(work.session, _write(work, participant_id, covers, note, given=True))


def withdraw(
    library: Library, actor: Actor, participant_id: int, covers: Iterable[Covers], note: str = "", *, removes: bool
) -> Withdrawal:
    """Writes down that somebody no longer agrees, and takes what shows them out of sight, or out of the library.

    ``removes`` asks for removal; otherwise the media are hidden from all but those who keep the library. Under a legal
    hold they are hidden, and go when the hold ends. A withdrawn name is taken out of the list of participants, where no
    hold stands. All of it goes on the record, without the name; the same withdrawal with the same note only once.

    Raises:
        NotAllowedError: not by an officer, archivist or administrator; removal not by an officer.
        NotFoundError: no such participant.
        pydantic.ValidationError: it covers nothing, or the note holds control characters.
    """
    wanted = frozenset(covers)
    with library.work(actor) as work:
        if removes:
            work.needs(*KEEPERS)
        row, is_new = _withdrawn(work, participant_id, wanted, note)
        gone, stays = _take(work, shown_by(work.session, row.visit_id, wanted), removes=removes)
        if "name" in wanted:
            stays += _take_name(work, row, removes=removes)
        stays += _words_that_stay(work.session, row.visit_id)
    if removes:
        finish_removals(library)
    return Withdrawal(gone=gone, stays=tuple(stays), is_new=is_new)


def shown_by(session: Session, visit_id: int, covers: Iterable[Covers]) -> Sequence[str]:
    """The media of a visit that a withdrawal of ``covers`` takes out of sight, or out of the library."""
    roles = {role for one in covers for role in _SHOWS[one]}
    asked = (
        select(VisitMediumRow.sha256)
        .join(MediumRow)
        .where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.role.in_(roles), MediumRow.removed_at.is_(None))
    )
    return session.scalars(asked.distinct().order_by(VisitMediumRow.sha256)).all()


def stands_against(session: Session, medium: KeptMedium) -> tuple[Standing, ...]:
    """Participants who withdrew what this medium shows of them, and have not agreed to it again."""
    against: dict[int, Standing] = {}
    for use in medium.uses:
        for one in consents_of(session, use.visit_id):
            if any(use.role in _SHOWS[covered] for covered in one.withdrawn):
                against[one.participant_id] = one
    return tuple(against.values())


def _withdrawn(work: Work, participant_id: int, covers: frozenset[Covers], note: str) -> tuple[ParticipantRow, bool]:
    """The participant, and whether this had to be written down: nothing new is said by what stands as the last word."""
    work.needs("officer", *KEEPERS)
    row = work.get(ParticipantRow, participant_id, "participant")
    before = _standing(work.session, row)
    last = {cover: one.note for one in before.history for cover in one.covers}
    if covers and covers <= before.withdrawn and (not note or {last[cover] for cover in covers} == {note}):
        return row, False
    return _write(work, participant_id, covers, note, given=False), True


def _write(work: Work, participant_id: int, covers: Iterable[Covers], note: str, *, given: bool) -> ParticipantRow:
    work.needs("officer", *KEEPERS)
    row = work.get(ParticipantRow, participant_id, "participant")
    one = Consent.model_validate(
        {"given": given, "covers": frozenset(covers), "at": work.at, "recorded_by": work.person_id(), "note": note}
    )
    told = sorted(one.covers)
    work.session.add(
        ConsentRow(
            participant_id=row.id, given=given, covers=told, at=one.at, recorded_by=one.recorded_by, note=one.note
        )
    )
    work.journal("gave consent" if given else "withdrew consent", "participant", row.id, {"covers": told})
    return row


def _standing(session: Session, row: ParticipantRow) -> Standing:
    asked = select(ConsentRow).where(ConsentRow.participant_id == row.id).order_by(ConsentRow.id)
    fields = ("given", "covers", "at", "recorded_by", "note")
    history = tuple(
        Consent.model_validate({name: getattr(one, name) for name in fields}) for one in session.scalars(asked)
    )
    agreed, withdrawn = agreed_to(history)
    return Standing(
        participant_id=row.id,
        participant=participant_of(row),
        agreed=agreed,
        withdrawn=withdrawn,
        history=history,
    )


def _take(work: Work, hashes: Iterable[str], *, removes: bool) -> tuple[tuple[Gone, ...], list[str]]:
    gone, stays = [], []
    for sha256 in hashes:
        held = removes and is_held(work.session, sha256)
        if held:
            stays.append(f"Medium {sha256} is hidden and goes when the legal hold ends.")
        reason = WHEN_FREE if held else CONSENT
        gone.append(remove(work, sha256, reason) if removes and not held else hide(work, sha256, reason))
    return tuple(one for one in gone if one is not None), stays


def _take_name(work: Work, row: ParticipantRow, *, removes: bool) -> list[str]:
    standing = select(HoldRow.id).where(HoldRow.visit_id == row.visit_id, HoldRow.lifted_at.is_(None))
    if not removes or work.session.scalar(standing.limit(1)) is not None:
        return [f"The name of participant {row.id} stays in the list, marked as withdrawn."]
    row.name = NO_NAME
    work.journal("took the name out of", "participant", row.id)
    return []


def _words_that_stay(session: Session, visit_id: int) -> list[str]:
    drafts = session.scalars(select(DraftRow.number).where(DraftRow.visit_id == visit_id).order_by(DraftRow.number))
    editions = session.scalars(select(EditionRow.number).where(EditionRow.visit_id == visit_id).order_by(EditionRow.id))
    captions = select(VisitMediumRow.sha256).join(MediumRow).limit(1)
    captions = captions.where(
        VisitMediumRow.visit_id == visit_id, VisitMediumRow.role == "captions", MediumRow.removed_at.is_(None)
    )
    return [
        *([_CAPTIONS_STAY] if session.scalar(captions) is not None else []),
        *(f"Draft {number} keeps the words that were said, and the names of the voices." for number in drafts),
        *(f"Edition {number} keeps the words that it quotes." for number in editions),
        "Backups and bags that were made before still hold what they hold.",
    ]
