"""Questions that an edition carried to the next visit come onto the table of that visit's draft."""

from sqlalchemy import func, select

from vouchbook.library.actor import Work
from vouchbook.library.editions.shelf import edition_of, in_force
from vouchbook.library.store.tables import DraftRow, QuestionRow, VisitRow


def carry_over(work: Work, draft: DraftRow) -> int:
    """Adds the questions that the subject's edition in force carried and ``draft`` does not have yet; returns how many.

    A draft of the very visit that the edition was made of has asked them already.
    """
    session = work.session
    visit = session.get_one(VisitRow, draft.visit_id)
    row = in_force(session, visit.subject_id)
    if row is None or row.visit_id == visit.id:
        return 0
    of_draft = QuestionRow.draft_id == draft.id
    known = {
        (one.carried_from, one.record["carried_key"])
        for one in session.scalars(select(QuestionRow).where(of_draft, QuestionRow.carried_from.is_not(None)))
    }
    keys = [int(key[1:]) for key in session.scalars(select(QuestionRow.key).where(of_draft))]
    position = session.scalar(select(func.count()).select_from(QuestionRow).where(of_draft)) or 0
    carried = [one for one in edition_of(session, row.id).questions if one.outcome == "carried"]
    new = [one for one in carried if (row.id, one.key) not in known]
    for place, question in enumerate(new):
        session.add(
            QuestionRow(
                draft_id=draft.id,
                key=f"q{max(keys, default=0) + 1 + place}",
                position=position + place,
                kind=question.kind,
                phase=question.phase,
                carried_from=row.id,
                record={
                    "about": question.about,
                    "ask": question.ask,
                    "evidence": [quoted.model_dump(mode="json") for quoted in question.quotes],
                    "carried_key": question.key,
                },
                start_s=min((quoted.start_s for quoted in question.quotes), default=0.0),
                end_s=max((quoted.end_s for quoted in question.quotes), default=0.0),
            )
        )
    if new:
        work.journal("got carried questions", "draft", draft.id, {"edition": row.id, "questions": len(new)})
    return len(new)
