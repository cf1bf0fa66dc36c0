"""Decisions, undo, publication and withdrawal in any order: the library against a model of a few lines."""

from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack, suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from vouchbook.library.audit.journal import verify
from vouchbook.library.editions.publish import publish
from vouchbook.library.editions.shelf import altered, shelf
from vouchbook.library.editions.withdraw import withdraw
from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.settle import draft_questions, settle
from vouchbook.library.review.witness import altered_in_draft
from vouchbook.library.store.tables import ItemRow
from vouchbook.library.visits.bring import bring
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, NotAllowedError
from vouchbook.models.people import THE_LIBRARY, Actor, Role, actor_of
from vouchbook.models.visits import Visit

JUDGEMENTS = {
    "confirmed": Judgement(verdict="confirmed"),
    "rejected": Judgement(verdict="rejected", reason="unsafe"),
}
STAFF: dict[str, Role] = {
    "administrator": "administrator", "officer": "officer", "reviewer": "reviewer", "second": "reviewer",
    "archivist": "archivist",
}  # fmt: skip
CUE, DANGER, DOUBTFUL = 1, 2, 3
NEEDS_TWO = {(DANGER, "confirmed"), (DANGER, "rejected"), (DOUBTFUL, "confirmed")}
ITEMS, PEOPLE = st.sampled_from([CUE, DANGER, DOUBTFUL]), st.sampled_from(["reviewer", "second"])
VERDICTS = st.sampled_from(sorted(JUDGEMENTS))
Taken = list[tuple[str, str]]
"""Who decided what on one item, in order; what was taken back is gone."""


def state_after(item: int, taken: Taken) -> tuple[str, set[str]]:
    """Where an item stands, and by whom."""
    agreed: Taken = []
    for who, verdict in taken:
        others = [one for one in agreed if one[0] != who]
        agreed = [] if others and others[0][1] != verdict else [*others, (who, verdict)]
    if not agreed:
        return "open", set()
    verdict, people = agreed[0][1], {who for who, _ in agreed}
    waits = (item, verdict) in NEEDS_TWO and len(people) < 2
    return "waits for a second person" if waits else verdict, people


class Reviewing(RuleBasedStateMachine):
    """One draft of three items, two reviewers, one archivist."""

    copied: Callable[[], AbstractContextManager[str]]
    media: Path
    staff: dict[str, Actor]

    def __init__(self) -> None:
        super().__init__()
        self.opened = ExitStack()
        copy = self.opened.enter_context(self.copied())
        self.library: Library = self.opened.enter_context(open_library(copy, media=self.media))
        self.taken: dict[int, Taken] = {CUE: [], DANGER: [], DOUBTFUL: []}
        self.versions = dict.fromkeys(self.taken, 1)
        self.editions = 0
        self.is_published = False

    def teardown(self) -> None:
        self.opened.close()

    @rule(item=ITEMS, who=PEOPLE, verdict=VERDICTS)
    def decides(self, item: int, who: str, verdict: str) -> None:
        state, people = state_after(item, self.taken[item])
        may = not self.is_published and (
            state == "open" or (state == "waits for a second person" and who not in people)
        )
        if not may:
            with pytest.raises((ConflictError, NotAllowedError)), self.library.work(self.staff[who]) as work:
                decide(work, item, self.versions[item], JUDGEMENTS[verdict])
            return
        with self.library.work(self.staff[who]) as work:
            decide(work, item, self.versions[item], JUDGEMENTS[verdict])
        self.taken[item].append((who, verdict))
        self.versions[item] += 1

    @rule(item=ITEMS, who=PEOPLE)
    def takes_back(self, item: int, who: str) -> None:
        mine = [place for place, (person, _) in enumerate(self.taken[item]) if person == who]
        if self.is_published or not mine:
            with pytest.raises(ConflictError), self.library.work(self.staff[who]) as work:
                undo(work, item, self.versions[item])
            return
        with self.library.work(self.staff[who]) as work:
            undo(work, item, self.versions[item])
        del self.taken[item][mine[-1]]
        self.versions[item] += 1

    @precondition(lambda self: max(self.versions.values()) > 1)
    @rule(item=ITEMS, who=PEOPLE, back=st.integers(1, 3))
    def decides_on_what_is_no_longer_so(self, item: int, who: str, back: int) -> None:
        with pytest.raises(ConflictError), self.library.work(self.staff[who]) as work:
            decide(work, item, self.versions[item] - back, JUDGEMENTS["confirmed"])

    @rule(item=ITEMS, who=PEOPLE)
    def is_cut_off_before_the_end(self, item: int, who: str) -> None:
        with suppress(ConflictError, NotAllowedError, InterruptedError), self.library.work(self.staff[who]) as work:
            decide(work, item, self.versions[item], JUDGEMENTS["confirmed"])
            raise InterruptedError

    @rule()
    def publishes(self) -> None:
        states = {state_after(item, taken)[0] for item, taken in self.taken.items()}
        if not self.is_published and states <= {"confirmed", "rejected"} and "confirmed" in states:
            with self.library.work(self.staff["archivist"]) as work:
                assert publish(work, 1).edition.number == self.editions + 1
            self.editions, self.is_published = self.editions + 1, True
        else:
            with pytest.raises(ConflictError), self.library.work(self.staff["archivist"]) as work:
                publish(work, 1)

    @precondition(lambda self: self.is_published)
    @rule()
    def withdraws(self) -> None:
        with self.library.work(self.staff["archivist"]) as work:
            withdraw(work, self.editions, "to look again")
        self.is_published = False

    @invariant()
    def the_library_is_as_the_model(self) -> None:
        with self.library.reading() as session:
            for item in draft_items(session, 1):
                number = item.item_id
                assert item.state.name == state_after(number, self.taken[number])[0]
                assert session.get_one(ItemRow, number).state == item.state.name
                assert item.version == self.versions[number]
                standing = [one.verdict for one in item.decisions if one.undone_at is None]
                assert standing == [verdict for _, verdict in self.taken[number]]
            assert [one.state == "in force" for one in shelf(session)][:1] == [self.is_published][: self.editions]
            assert (list(altered_in_draft(session, 1)), list(altered(session)), verify(session)) == ([], [], None)


def test_any_order_of_decisions_leaves_the_library_as_the_model_says(
    where: str, media: Path, copied: Callable[[], AbstractContextManager[str]], visit: Visit, draft: Draft
) -> None:
    """Each example has a copy of its own of one library with one draft on the table."""
    Reviewing.copied, Reviewing.media = staticmethod(copied), media
    with open_library(where, media=media) as library:
        with library.work(THE_LIBRARY) as work:
            Reviewing.staff = {login: actor_of(add_person(work, login, login, [role])) for login, role in STAFF.items()}
        bring(library, Reviewing.staff["officer"], visit, draft)
        with library.work(Reviewing.staff["reviewer"]) as work:
            for question in draft_questions(work.session, 1):
                settle(work, question.question_id, 1, Answer(outcome="not needed"))
    run_state_machine_as_test(
        Reviewing,
        settings=settings(
            max_examples=15, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
