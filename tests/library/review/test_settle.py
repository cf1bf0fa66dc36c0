from typing import Any

import pytest
from sqlalchemy import select, text

from vouchbook.library.audit.journal import entries_about, verify
from vouchbook.library.keeping.removal import hide, show
from vouchbook.library.open import Library
from vouchbook.library.review.plays import Played, report
from vouchbook.library.review.settle import draft_questions, settle, unsettle
from vouchbook.library.store.tables import QuestionRow, VisitMediumRow
from vouchbook.models.decisions import Answer, Spot
from vouchbook.models.errors import ConflictError, LibraryError, NotAllowedError, NotFoundError
from vouchbook.models.people import THE_LIBRARY, Actor

Staff = dict[str, Actor]
DOUBTFUL, UNCOVERED = 1, 2
CARRIED = Answer(outcome="carried")
NOT_NEEDED = Answer(outcome="not needed")
TOLD = Answer(outcome="answered", answer="It is the grey one.")


def act(library: Library, who: Actor, question: int, what: Answer | None, seen: int | None = None) -> str:
    """Settles, or opens again where ``what`` is None; gives the outcome, or "open"."""
    with library.work(who) as work:
        seen = work.session.get_one(QuestionRow, question).version if seen is None else seen
        done = unsettle(work, question, seen) if what is None else settle(work, question, seen, what)
        return done.settled.outcome if done.settled else "open"


def still_of(library: Library) -> str:
    with library.reading() as session:
        return session.scalars(select(VisitMediumRow.sha256).where(VisitMediumRow.role == "still")).one()


@pytest.mark.parametrize(
    ("acts", "state"),
    [
        pytest.param([("reviewer", TOLD)], "answered", id="answered"),
        pytest.param([("reviewer", CARRIED)], "carried", id="carried"),
        pytest.param([("reviewer", NOT_NEEDED)], "not needed", id="not-needed"),
        pytest.param([("reviewer", TOLD), ("reviewer", None)], "open", id="taken-back"),
        pytest.param([("reviewer", TOLD), ("administrator", None), ("second", CARRIED)], "carried", id="anew"),
    ],
)
def test_a_question_is_settled(
    library: Library, staff: Staff, on_table: int, acts: list[tuple[str, Answer | None]], state: str
) -> None:
    for who, what in acts:
        last = act(library, staff[who], UNCOVERED, what)
    with library.reading() as session:
        row = session.get_one(QuestionRow, UNCOVERED)
        assert (last, row.state, row.version) == (state, state, 1 + len(acts))
        assert len(entries_about(session, "question", str(UNCOVERED))) == len(acts)
        assert verify(session) is None
        listed = draft_questions(session, on_table)[UNCOVERED - 1]
        assert (listed.key, listed.phase, len(listed.settlements)) == ("q2", "fire", len([a for _, a in acts if a]))


def test_an_answer_from_the_picture_marks_the_spot(library: Library, staff: Staff, heard_table: str) -> None:
    assert heard_table
    answer = Answer(outcome="answered", still_sha256=still_of(library), spot=Spot(x=0.25, y=0.5))
    assert act(library, staff["reviewer"], UNCOVERED, answer) == "answered"
    with library.reading() as session:
        settled = draft_questions(session, 1)[UNCOVERED - 1].settled
        assert settled is not None
        assert (settled.still_sha256, settled.spot) == (answer.still_sha256, Spot(x=0.25, y=0.5))


@pytest.mark.parametrize(
    ("acts", "error", "said"),
    [
        pytest.param([("officer", TOLD)], NotAllowedError, "only a reviewer", id="not-a-reviewer"),
        pytest.param([("reviewer", TOLD), ("second", CARRIED)], ConflictError, "it is answered", id="settled-already"),
        pytest.param([("reviewer", None)], ConflictError, "it is open", id="nothing-to-take-back"),
        pytest.param([("reviewer", TOLD), ("second", None)], NotAllowedError, "somebody else", id="not-theirs"),
    ],
)
def test_what_may_not_be_settled(
    library: Library, staff: Staff, on_table: int, acts: list[Any], error: type[LibraryError], said: str
) -> None:
    assert on_table
    *before, (who, answer) = acts
    for person, what in before:
        act(library, staff[person], UNCOVERED, what)
    with pytest.raises(error, match=said):
        act(library, staff[who], UNCOVERED, answer)


def test_whoever_saw_an_older_version_is_told_what_happened(library: Library, staff: Staff, on_table: int) -> None:
    assert on_table
    act(library, staff["reviewer"], UNCOVERED, CARRIED, seen=1)
    with pytest.raises(ConflictError, match="question q2: carried by Runa"):
        act(library, staff["second"], UNCOVERED, TOLD, seen=1)


def test_a_still_is_one_of_the_visit_that_is_still_there(library: Library, staff: Staff, heard_table: str) -> None:
    film = Answer(outcome="answered", still_sha256=heard_table, spot=Spot(x=0, y=0))
    with pytest.raises(NotFoundError, match="none of that hash"):
        act(library, staff["reviewer"], UNCOVERED, film)
    still = film.model_copy(update={"still_sha256": still_of(library)})
    with library.work(THE_LIBRARY) as work:
        work.session.execute(text("UPDATE medium SET removed_at = :at, removed_reason = 'asked'"), {"at": work.at})
        work.journal("removed", "medium", still_of(library))
    with pytest.raises(ConflictError, match="it was removed"):
        act(library, staff["reviewer"], UNCOVERED, still)


def test_nobody_answers_from_a_still_that_they_may_not_see(library: Library, staff: Staff, heard_table: str) -> None:
    assert heard_table
    still = Answer(outcome="answered", still_sha256=still_of(library), spot=Spot(x=0, y=0))
    with library.work(staff["archivist"]) as work:
        hide(work, still_of(library), "consent withdrawn")
    with pytest.raises(NotAllowedError, match=r"it is hidden \(consent withdrawn\)"):
        act(library, staff["reviewer"], UNCOVERED, still)
    with library.work(staff["archivist"]) as work:
        show(work, still_of(library))
    assert act(library, staff["reviewer"], UNCOVERED, still) == "answered"


def test_doubtful_words_may_be_carried_unheard(library: Library, staff: Staff, heard_table: str) -> None:
    assert heard_table
    assert act(library, staff["reviewer"], DOUBTFUL, CARRIED) == "carried"


@pytest.mark.parametrize("answer", [TOLD, NOT_NEEDED], ids=["told", "dropped"])
def test_doubtful_words_are_listened_to_before_they_are_settled(
    library: Library, staff: Staff, heard_table: str, answer: Answer
) -> None:
    with pytest.raises(NotAllowedError, match="have not heard 0:"):
        act(library, staff["reviewer"], DOUBTFUL, answer)
    with library.work(staff["reviewer"]) as work:
        report(work, 1, [Played(sha256=heard_table, start_s=0, end_s=30)])
    assert act(library, staff["reviewer"], DOUBTFUL, answer) == answer.outcome
