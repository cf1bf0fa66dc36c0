"""A draft of the library against its editions in force, as its items stand now."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import found
from vouchbook.library.editions.shelf import related_editions
from vouchbook.library.known.borrowed import Candidate, candidates
from vouchbook.library.known.compare import Finding, compare
from vouchbook.library.known.sides import Side
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.decide import words_now
from vouchbook.library.review.settle import draft_questions
from vouchbook.library.store.tables import EditionRow, QuestionRow, SubjectRow, VisitRow
from vouchbook.library.visits.visits import subject_of
from vouchbook.models.editions import Borrowed
from vouchbook.models.errors import NotFoundError
from vouchbook.models.subjects import Subject


def findings(session: Session, draft_id: int) -> tuple[Finding, ...]:
    """What contradicts the editions of the same and related subjects, and what they know that is not in this draft.

    Items that were rejected say nothing here; those that were amended say their new words.

    Raises:
        NotFoundError: no draft of that number.
        StoreError: an edition is not what was published.
    """
    drafted = Drafted(session, draft_id)
    standing = [item for item in drafted.items() if item.state.name != "rejected"]
    here = [
        Side(kind=one.case.kind, item=one.case.key, fields=words_now(one), quotes=one.quotes, position=position)
        for position, one in enumerate(standing)
    ]
    subject = _subject(session, drafted)
    return compare(here, subject, related_editions(session, subject))


def borrow_candidates(session: Session, question_id: int) -> tuple[Candidate, ...]:
    """What the library has for a question that left something to another talk ("same as the last one").

    Raises:
        NotFoundError: no question of that number.
        StoreError: an edition is not what was published.
    """
    row = found(session, QuestionRow, question_id, "question")
    question = next(one for one in draft_questions(session, row.draft_id) if one.question_id == question_id)
    subject = _subject(session, Drafted(session, row.draft_id))
    return candidates(question, subject, related_editions(session, subject))


def edition_lent(session: Session, borrowed: Borrowed) -> int:
    """The number in the library of the edition that ``borrowed`` names; ``borrow`` takes it.

    Raises:
        NotFoundError: it is not here.
    """
    of_visit = select(EditionRow.id).join(VisitRow, VisitRow.id == EditionRow.visit_id)
    asked = of_visit.where(VisitRow.key == borrowed.visit, EditionRow.number == borrowed.edition)
    number = session.scalar(asked)
    if number is None:
        raise NotFoundError(f"edition {borrowed.edition} of {borrowed.subject}", "it is not here", "Look at the shelf")
    return number


def _subject(session: Session, drafted: Drafted) -> Subject:
    return subject_of(session.get_one(SubjectRow, drafted.visit.subject_id))
