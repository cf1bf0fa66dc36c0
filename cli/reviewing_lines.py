"""What a reviewer reads at the terminal."""

from collections.abc import Iterator, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.cli.phrases import doubts
from vouchbook.library.editions.publish import open_points
from vouchbook.library.editions.statements import headed
from vouchbook.library.open import Library
from vouchbook.library.people.people import names
from vouchbook.library.review.cases import Drafted, DraftItem, draft_items
from vouchbook.library.review.figures import counts
from vouchbook.library.review.settle import DraftQuestion
from vouchbook.library.store.tables import EditionRow, ItemRow
from vouchbook.library.visits.stills import VisitStill
from vouchbook.models.clock import clock
from vouchbook.models.decisions import Decision

HELP = """c confirm    r reject    a amend     p play the words
h add an item by hand    k what the library knows against this draft, to borrow what was not mentioned
u undo your last decision here, or take out what you added      n next, decide later
q quit: all that you decided is kept
For questions: a answer  s answer by a spot in a still  c carry to the next visit  d drop as not needed
b borrow one of the numbered items (only where the talk left something to another one)
"""


def item_lines(session: Session, item: DraftItem) -> Iterator[str]:
    """An item, the words that say it, what it is bound to, and what others decided."""
    case, people = item.case, names(session)
    yield f"{case.key}  {headed(case.kind, case.as_read)}"
    for quoted in item.quotes:
        voice = f"{quoted.voice}: " if quoted.voice else ""
        yield f"    {clock(quoted.start_s)} {voice}\u201c{quoted.quote}\u201d"
    record = session.get_one(ItemRow, item.item_id).record
    if "confidence" in record and (
        told := doubts(record["confidence"], record.get("reasons", ()), implied=bool(record.get("implied")))
    ):
        yield f"    How sure: {told}"
    if item.bonds.signal_reason:
        yield f"    Why {case.as_read['signal']}: {item.bonds.signal_reason}"
    if item.bonds.guards:
        yield f"    Before {', '.join(item.bonds.guards)}"
    if item.bonds.branch:
        yield f"    Another way: {item.bonds.branch}, instead of {', '.join(item.bonds.instead_of)}"
    if item.borrowed:
        yield f"    Borrowed from edition {item.borrowed.edition} of {item.borrowed.subject}"
    if case.source_note:
        yield f"    Not from the recording: {case.source_note}"
    if case.is_doubtful:
        yield "    The words are doubtful: listen."
    for decision in item.state.disputed:
        yield f"    Disputed: {_decision(decision, people)}"
    if item.state.disputed:
        yield "    Whoever decides now begins anew, another may have to decide again; u takes your own decision back."
    if item.state.name == "waits for a second person":
        yield f"    {_decision(item.state.counted[0], people)}; a second person is needed: {item.state.needs[0]}"


def question_lines(question: DraftQuestion) -> Iterator[str]:
    """A question and the words that raised it."""
    carried = f" (carried over from edition {question.carried_from})" if question.carried_from else ""
    yield f"{question.key}  {question.ask}{carried}"
    for quoted in question.quotes:
        yield f"    {clock(quoted.start_s)} \u201c{quoted.quote}\u201d"


def still_lines(library: Library, stills: Sequence[VisitStill]) -> Iterator[str]:
    """The stills behind their numbers, each with its second, what it was made for, and where to open it."""
    for number, still in enumerate(stills, 1):
        second = clock(still.at_s) if still.at_s is not None else "?"
        shows = f", shows {', '.join(still.shows)}" if still.shows else ""
        yield f"{number:4}  {second:>7}  {still.name}{shows}: {library.media.path(still.sha256)}"


def farewell(session: Session, draft_id: int) -> Iterator[str]:
    """How far the draft is now."""
    now = counts(session, draft_id)
    yield ", ".join(f"{number} {state}" for state, number in now.items.items())
    left = len(open_points(session, draft_id))
    yield f"{left} left to decide." if left else f"All is decided: `vouchbook publish {draft_id}`"


def unheard_line(session: Session, draft_id: int) -> str:
    """That nothing of the talk can be played, so that nothing need be heard; empty where something can."""
    if any(item.case.can_be_heard for item in draft_items(session, draft_id)):
        return ""
    return "This visit has no recording to hear: danger and doubtful words are decided without listening."


def closed_line(session: Session, draft_id: int) -> str:
    """Why nobody decides on the draft any more, in one line; empty while it is open.

    Raises:
        NotFoundError: no draft of that number.
    """
    draft = Drafted(session, draft_id).row
    if draft.state == "published":
        of_draft = select(EditionRow).where(EditionRow.draft_id == draft_id).order_by(EditionRow.id.desc())
        made = session.scalars(of_draft).first()
        if made is None:
            return f"Draft {draft_id} is published."
        shown = f"`vouchbook publish --show {made.id}`"
        return f"Draft {draft_id} is published as {made.id} (edition {made.number} of its machine): {shown}"
    return "" if draft.state == "open" else f"Draft {draft_id} is {draft.state}: decide on the newer draft."


def _decision(decision: Decision, people: dict[int, str]) -> str:
    words = "".join(f" {name}={value}" for name, value in (decision.words or {}).items())
    reason = f" ({decision.reason}{f': {decision.note}' if decision.note else ''})" if decision.reason else ""
    return f"{decision.verdict}{words}{reason} by {people[decision.by]}"
