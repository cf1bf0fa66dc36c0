"""An edition that is looked at again and found still right: it stays as it is, and is due later."""

from vouchbook.library.actor import Work
from vouchbook.library.editions.content import reverify_on
from vouchbook.library.editions.reasons import told
from vouchbook.library.editions.shelf import Shelved, edition_of, shelved
from vouchbook.library.editions.verifications import TOOK_BACK, VERIFIED, newest_standing, told_of
from vouchbook.library.review.department import department
from vouchbook.library.store.tables import DraftRow, EditionRow, VerificationRow, VisitRow
from vouchbook.models.errors import ConflictError, NotAllowedError


def verify_again(work: Work, edition_id: int, how: str) -> Shelved:
    """Says that an edition in force is still right; ``how`` tells by what that was seen.

    It is due again so many months after today, as the settings say for its kind. As nobody signs off alone, it is
    another person than who published it, or recorded or drafted the visit, except in a one-person office.

    Raises:
        NotAllowedError: not by a reviewer or archivist, or another person is needed.
        NotFoundError: none of that number.
        SettingError: nothing says how.
        ConflictError: it is withdrawn or replaced.
        StoreError: it is no longer what was published.
    """
    work.needs("reviewer", "archivist")
    person = work.person_id()
    how = told("verification: how it was checked", how, "Say it, as in: looked at the machine.")
    row = work.get(EditionRow, edition_id, "edition")
    state = shelved(work.session, edition_id).state
    if state != "in force":
        raise ConflictError(f"edition {edition_id}", f"it is {state}", "Verify the one that is in force")
    edition = edition_of(work.session, edition_id)
    rules = department(work.session)
    if person in _vouched_by(work, row) and not rules.is_one_person:
        raise NotAllowedError(
            f"edition {edition_id}", "who published it, or recorded or drafted its visit, does not verify it alone",
            "Ask another reviewer or archivist",
        )  # fmt: skip
    verification = VerificationRow(
        edition_id=edition_id,
        person_id=person,
        at=work.at,
        how=how,
        reverify_on=reverify_on(work.at.date(), edition.subject.kind, rules),
        is_one_person=rules.is_one_person,
    )
    work.session.add(verification)
    work.session.flush()
    work.journal(VERIFIED, "edition", edition_id, told_of(verification))
    return shelved(work.session, edition_id)


def take_back(work: Work, edition_id: int, reason: str, verification_id: int | None = None) -> Shelved:
    """Takes the newest verification of an edition back, by who made it or an administrator. It stays on the record.

    ``verification_id`` names the one that is meant, for who may have seen an older list.

    Raises:
        NotAllowedError: somebody else made it.
        NotFoundError: no such edition.
        SettingError: no reason.
        ConflictError: none stands, or another is the newest by now.
    """
    reason = told("taking back: a reason", reason, "Say why.")
    work.get(EditionRow, edition_id, "edition")
    row = newest_standing(work.session, edition_id)
    if row is None:
        raise ConflictError(f"edition {edition_id}", "no verification of it stands", "There is nothing to take back")
    if verification_id not in (None, row.id):
        raise ConflictError(
            f"verification {verification_id}", f"it is not the newest of edition {edition_id}", "Look at it again"
        )
    if row.person_id != work.person_id() and "administrator" not in work.actor.roles:
        raise NotAllowedError(f"edition {edition_id}", "somebody else verified it", "Ask them, or an administrator")
    row.undone_at, row.undone_by, row.undone_reason = work.at, work.person_id(), reason
    work.journal(TOOK_BACK, "edition", edition_id, {**told_of(row), "reason": reason})
    return shelved(work.session, edition_id)


def _vouched_by(work: Work, row: EditionRow) -> set[int | None]:
    visit, draft = work.session.get_one(VisitRow, row.visit_id), work.session.get_one(DraftRow, row.draft_id)
    return {row.published_by, visit.recorded_by, draft.drafted_by}
