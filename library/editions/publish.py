"""From a fully decided draft to an edition: numbered, hashed, and never changed."""

from collections.abc import Collection, Mapping

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.editions.carried import carry_over
from vouchbook.library.editions.content import (
    StillOpen,
    edition_items,
    one_person_note,
    reverify_on,
    settled_questions,
    still_open,
)
from vouchbook.library.editions.difference import Difference, difference
from vouchbook.library.editions.matching import Line, pairs
from vouchbook.library.editions.shelf import edition_of, in_force
from vouchbook.library.people.people import names
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.decide import open_draft
from vouchbook.library.review.settle import DraftQuestion, draft_questions
from vouchbook.library.review.witness import altered_in_draft
from vouchbook.library.store.tables import DraftRow, EditionRow, SubjectRow, VisitRow
from vouchbook.library.visits.visits import subject_of
from vouchbook.models.decisions import Settlement
from vouchbook.models.editions import Edition, VisitNamed, VouchedItem, Voucher
from vouchbook.models.errors import ConflictError, StoreError
from vouchbook.models.record import Record


class Published(Record):
    """A new edition, and what it changes of the one before; None where there was none."""

    edition_id: int
    edition: Edition
    content_sha256: str
    difference: Difference | None = None


def open_points(session: Session, draft_id: int) -> tuple[StillOpen, ...]:
    """What stands between a draft and its edition, items first; empty when it can be published.

    Raises:
        NotFoundError: no draft of that number.
    """
    questions = draft_questions(session, draft_id)
    return still_open(Drafted(session, draft_id).items(), questions, _settlements(questions))


def gone_if_published(session: Session, draft_id: int) -> tuple[VouchedItem, ...]:
    """What the edition in force has and the next one would not, warnings apart; empty while something is undecided.

    Raises:
        NotFoundError: no draft of that number.
    """
    drafted = Drafted(session, draft_id)
    before = in_force(session, drafted.visit.subject_id)
    if drafted.row.state != "open" or before is None or open_points(session, draft_id):
        return ()
    items, _ = edition_items(drafted.items(), names(session))
    told = difference(edition_of(session, before.id).items, items)
    return tuple(item for item in told.gone if item.kind != "warning")


def publish(work: Work, draft_id: int, lets_go: Collection[str] = ()) -> Published:
    """Publishes a draft as the next edition of its subject. From then on neither changes.

    ``lets_go`` names the warnings of the edition before, by their keys there, that this one knowingly has no more.

    Raises:
        NotAllowedError: not by an archivist.
        NotFoundError: no draft of that number.
        ConflictError: the draft is not open or not fully decided, a warning of the edition before would be lost, or
            ``lets_go`` names what is none.
        StoreError: items or decisions are not what was stored.
    """
    work.needs("archivist")
    drafted = open_draft(work, draft_id)
    _check_what_is_stored(work.session, drafted)
    left = open_points(work.session, draft_id)
    if left:
        more = f", and {len(left) - 1} more" if len(left) > 1 else ""
        raise ConflictError(f"draft {draft_id}", f"{left[0].sentence.rstrip('.')}{more}", "Decide it, then publish")
    before = in_force(work.session, drafted.visit.subject_id)
    known = edition_of(work.session, before.id) if before is not None else None
    edition = _edition(work, drafted, known)
    told = difference(known.items, edition.items) if known is not None else None
    edition = edition.model_copy(update={"let_go": _let_go(draft_id, edition, known, told, lets_go)})
    row = _row(work, drafted, edition, before)
    work.journal(
        "published",
        "edition",
        row.id,
        {
            "draft": draft_id,
            "subject": row.subject_id,
            "number": row.number,
            "content_sha256": row.content_sha256,
            "replaces": row.replaces_id,
            "let_go": [item.key for item in edition.let_go],
        },
    )
    of_subject = select(DraftRow).join(VisitRow).where(VisitRow.subject_id == row.subject_id, DraftRow.state == "open")
    for waiting in work.session.scalars(of_subject):
        carry_over(work, waiting)
    return Published(edition_id=row.id, edition=edition, content_sha256=row.content_sha256, difference=told)


def _edition(work: Work, drafted: Drafted, before: Edition | None) -> Edition:
    session, visit = work.session, drafted.visit
    known = names(session)
    questions = draft_questions(session, drafted.row.id)
    items, rejected = edition_items(drafted.items(), known)
    subject = subject_of(session.get_one(SubjectRow, visit.subject_id))
    last = session.scalar(select(func.max(EditionRow.number)).where(EditionRow.subject_id == visit.subject_id))
    return Edition(
        subject=subject,
        number=(last or 0) + 1,
        replaces=before.number if before is not None else None,
        visit=VisitNamed(
            key=visit.key,
            place=visit.place,
            held_on=visit.held_on,
            draft=drafted.row.number,
            draft_sha256=drafted.row.document_sha256,
        ),
        published=Voucher(person=work.person_id(), name=known[work.person_id()], at=work.at),
        reverify_on=reverify_on(work.at.date(), subject.kind, drafted.department),
        one_person_note=one_person_note(drafted.department),
        items=items,
        rejected=rejected,
        questions=settled_questions(questions, _settlements(questions), known),
    )


def _let_go(
    draft_id: int, edition: Edition, before: Edition | None, told: Difference | None, lets_go: Collection[str]
) -> tuple[VouchedItem, ...]:
    """The warnings that are gone without a decision: who publishes lets each go by name, or it is refused."""
    gone = told.gone_warnings if told is not None else ()
    rejected = [Line(item.kind, item.as_read) for item in edition.rejected]
    decided = {place for place, _ in pairs([Line(item.kind, item.as_vouched) for item in gone], rejected)}
    lost = [item for place, item in enumerate(gone) if place not in decided]
    forgotten = [item for item in lost if item.key not in lets_go]
    if forgotten:
        options = " ".join(f"--let-go {item.key}" for item in lost)
        raise ConflictError(
            f"edition {edition.replaces}",
            f"would be lost of its warnings: {'; '.join(_named(item) for item in forgotten)}",
            f"Borrow each into this draft (`vouchbook review {draft_id}`, k), or let it go by name: "
            f"`vouchbook publish {draft_id} {options}`",
        )
    for key in sorted(set(lets_go) - {item.key for item in gone}):
        raise ConflictError(f"let go {key}", _no_lost_warning(key, before), "Name only warnings that would be lost")
    return tuple(lost)


def _named(item: VouchedItem) -> str:
    """A warning behind its key, with the words that said it."""
    said = f", said as \u201c{item.quotes[0].quote}\u201d" if item.quotes else ""
    return f"{item.key} ({item.as_vouched['text']}{said})"


def _no_lost_warning(key: str, before: Edition | None) -> str:
    """What a key is that no warning has which would be lost."""
    if before is None:
        return "there is no edition before this one"
    item = next((one for one in before.items if one.key == key), None)
    if item is None:
        return f"edition {before.number} has no item of that key"
    if item.kind != "warning":
        return f"it is a {item.kind} of edition {before.number}, no warning"
    return f"this warning of edition {before.number} is in the new one too"


def _row(work: Work, drafted: Drafted, edition: Edition, before: EditionRow | None) -> EditionRow:
    content = edition.model_dump(mode="json")
    row = EditionRow(
        subject_id=drafted.visit.subject_id,
        visit_id=drafted.visit.id,
        draft_id=drafted.row.id,
        number=edition.number,
        content=content,
        content_sha256=canonical_sha256(content),
        published_at=work.at,
        published_by=work.person_id(),
        is_one_person=drafted.department.is_one_person,
        reverify_on=edition.reverify_on,
        replaces_id=before.id if before is not None else None,
    )
    work.session.add(row)
    drafted.row.state = "published"
    work.session.flush()
    return row


def _check_what_is_stored(session: Session, drafted: Drafted) -> None:
    for key, problem in altered_in_draft(session, drafted.row.id):
        raise StoreError(f"draft {drafted.row.id}, item {key}", problem, "Restore the last backup")


def _settlements(questions: Collection[DraftQuestion]) -> Mapping[str, Settlement]:
    return {question.key: question.settled for question in questions if question.settled is not None}
