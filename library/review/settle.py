"""What becomes of open questions: answered, also from the picture, carried to the next visit, or not needed."""

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work, found
from vouchbook.library.keeping.removal import medium_for
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.decide import open_draft, refuse
from vouchbook.library.review.hearing import unheard_of
from vouchbook.library.review.rules import Refusal
from vouchbook.library.store.tables import EditionRow, MediumRow, QuestionRow, SettlementRow, VisitMediumRow
from vouchbook.models.clock import clock
from vouchbook.models.decisions import Answer, Settlement
from vouchbook.models.editions import AskedQuestion, Quoted
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError


class DraftQuestion(AskedQuestion):
    """One question of a draft; ``version`` is what :func:`settle` wants as seen.

    ``settlements`` are all that it had, in their order, also those that were taken back.
    """

    question_id: int
    version: int
    start_s: float
    end_s: float
    settlements: tuple[Settlement, ...] = ()

    @property
    def settled(self) -> Settlement | None:
        """What became of it, None while it is open."""
        return next((one for one in reversed(self.settlements) if one.undone_at is None), None)


def draft_questions(session: Session, draft_id: int) -> tuple[DraftQuestion, ...]:
    """All questions of a draft, in its order; those that were carried over come last."""
    asked = select(QuestionRow).where(QuestionRow.draft_id == draft_id)
    return _listed(session, session.scalars(asked.order_by(QuestionRow.position, QuestionRow.id)).all())


def draft_question(session: Session, question_id: int) -> DraftQuestion:
    """One question.

    Raises:
        NotFoundError: there is none of that number.
    """
    return _listed(session, [found(session, QuestionRow, question_id, "question")])[0]


def settle(work: Work, question_id: int, seen: int, answer: Answer) -> DraftQuestion:
    """Says what becomes of a question that was ``seen`` in that version.

    A still must be one of the visit that the person may see.
    Whoever settles doubtful words other than by carrying them has listened to them.

    Raises:
        NotAllowedError: not by a reviewer, or they did not listen, or the still is hidden.
        NotFoundError: no such question, or the visit has no such still.
        ConflictError: somebody changed it since it was seen, it is settled already, or its draft is not open.
    """
    work.needs("reviewer")
    person = work.person_id()
    row = work.get(QuestionRow, question_id, "question")
    drafted = open_draft(work, row.draft_id)
    work.change(row, seen)
    (question,) = _listed(work.session, [row])
    if question.settled is not None:
        raise ConflictError(f"question {row.key}", f"it is {row.state}", "Take that back first")
    if answer.still_sha256 is not None:
        _check_still(work, drafted.visit.id, answer.still_sha256)
    if answer.outcome != "carried":
        refuse(f"question {row.key}", _unheard(work, drafted, question, person))
    taken = SettlementRow(question_id=question_id, person_id=person, at=work.at, **answer.model_dump())
    work.session.add(taken)
    row.state = answer.outcome
    work.session.flush()
    told = {"draft": row.draft_id, "key": row.key, "settlement": taken.id, "still": answer.still_sha256}
    work.journal(answer.outcome, "question", row.id, {**told, "version": row.version})
    return _listed(work.session, [row])[0]


def unsettle(work: Work, question_id: int, seen: int) -> DraftQuestion:
    """Opens a question again, by who settled it or an administrator.

    Raises:
        NotAllowedError: somebody else settled it.
        NotFoundError: no such question.
        ConflictError: somebody changed it since it was seen, it is open, or its draft is not.
    """
    row = work.get(QuestionRow, question_id, "question")
    open_draft(work, row.draft_id)
    work.change(row, seen)
    asked = select(SettlementRow).where(SettlementRow.question_id == question_id, SettlementRow.undone_at.is_(None))
    taken = work.session.scalars(asked).one_or_none()
    if taken is None:
        raise ConflictError(f"question {row.key}", "it is open", "There is nothing to take back")
    if taken.person_id != work.person and "administrator" not in work.actor.roles:
        raise NotAllowedError(f"question {row.key}", "somebody else settled it", "Ask them, or an administrator")
    taken.undone_at, taken.undone_by = work.at, work.person
    row.state = "open"
    told = {"draft": row.draft_id, "key": row.key, "settlement": taken.id, "version": row.version}
    work.journal("took back", "question", row.id, told)
    return _listed(work.session, [row])[0]


def _listed(session: Session, rows: Iterable[QuestionRow]) -> tuple[DraftQuestion, ...]:
    questions = {row.id: row for row in rows}
    taken: dict[int, list[Settlement]] = {number: [] for number in questions}
    asked = select(SettlementRow).where(SettlementRow.question_id.in_(questions)).order_by(SettlementRow.id)
    for one in session.scalars(asked):
        fields = {name: getattr(one, name) for name in ("at", "undone_at", "undone_by", *Answer.model_fields)}
        about = {"by": one.person_id, "question": questions[one.question_id].key}
        taken[one.question_id].append(Settlement.model_validate(fields | about))
    return tuple(_question(session, row, taken[row.id]) for row in questions.values())


def _question(session: Session, row: QuestionRow, settlements: Iterable[Settlement]) -> DraftQuestion:
    carried_from = session.get_one(EditionRow, row.carried_from).number if row.carried_from is not None else None
    return DraftQuestion.model_validate(
        {
            "question_id": row.id,
            "version": row.version,
            "key": row.key,
            "kind": row.kind,
            "phase": row.phase,
            "about": row.record["about"],
            "ask": row.record["ask"],
            "quotes": tuple(Quoted.model_validate(one) for one in row.record.get("evidence", ())),
            "carried_from": carried_from,
            "start_s": row.start_s,
            "end_s": row.end_s,
            "settlements": tuple(settlements),
        }
    )


def _check_still(work: Work, visit_id: int, sha256: str) -> None:
    of_visit = (
        select(MediumRow.removed_at)
        .join(VisitMediumRow, VisitMediumRow.sha256 == MediumRow.sha256)
        .where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.role == "still", MediumRow.sha256 == sha256)
    )
    row = work.session.execute(of_visit).one_or_none()
    if row is None:
        raise NotFoundError(f"still {sha256[:12]}", f"visit {visit_id} has none of that hash", "Add the still first")
    if row.removed_at is not None:
        raise ConflictError(f"still {sha256[:12]}", "it was removed", "Mark the spot in another")
    medium_for(work.session, sha256, work.actor.roles)


def _unheard(work: Work, drafted: Drafted, question: DraftQuestion, person: int) -> tuple[Refusal, ...]:
    if question.kind != "doubtful" or question.carried_from is not None:
        return ()
    heard = drafted.sound.heard_by(work.session, person)
    for quoted in question.quotes:
        seconds = (quoted.start_s, quoted.end_s)
        if drafted.sound.has(seconds) and unheard_of(*seconds, heard):
            where = f"{clock(quoted.start_s)} to {clock(quoted.end_s + 0.999)}"
            return (Refusal(missing="hearing", sentence=f"You have not heard {where}; play it, then settle it."),)
    return ()
