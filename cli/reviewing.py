"""A review at the terminal: shows, asks, and keeps every decision at once."""

from collections.abc import Callable, Sequence

import typer

from vouchbook.cli import asking, borrowing, keys, reviewing_lines
from vouchbook.cli.listening import listen
from vouchbook.cli.plain import say
from vouchbook.cli.table import Table
from vouchbook.library.actor import Work, as_known
from vouchbook.library.keeping.removal import KEEPERS
from vouchbook.library.known.borrowed import Candidate
from vouchbook.library.known.stored import borrow_candidates, edition_lent
from vouchbook.library.open import Library
from vouchbook.library.review.by_hand import add_by_hand, borrow, take_out
from vouchbook.library.review.cases import DraftItem
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.settle import DraftQuestion, settle, unsettle
from vouchbook.library.store.tables import ItemRow, QuestionRow
from vouchbook.library.visits.drafts import draft_of
from vouchbook.library.visits.stills import nearest_first, stills_for
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.editions import Borrowed, Quoted
from vouchbook.models.people import Actor


class Reviewing:
    """One person at the table of one draft."""

    def __init__(self, library: Library, actor: Actor, draft_id: int) -> None:
        self.library, self.actor, self.draft_id = library, actor, draft_id
        self.table = Table(library, actor, draft_id)
        self.has_left = False

    def run(self, *, adds: bool = False) -> None:
        """Everything that waits for this person, items first, until nothing does or they leave.

        With ``adds`` they are asked for an item of theirs before. Where all is decided they may still borrow and add.

        Raises:
            NotFoundError: no draft of that number.
            typer.Exit: with code 130, where they interrupt it; what they decided is kept.
        """
        with self.library.reading() as session:
            unheard = reviewing_lines.unheard_line(session, self.draft_id)
            closed = reviewing_lines.closed_line(session, self.draft_id)  # says at once if there is no such draft
        if closed:
            say(closed)
            return
        if unheard:
            say(unheard)
        try:
            self._review(adds=adds)
        except KeyboardInterrupt:
            typer.echo()
            self._sum_up()
            raise typer.Exit(130) from None
        self._sum_up()

    def _review(self, *, adds: bool) -> None:
        if summary := borrowing.known_summary(self.table.findings()):
            say(summary, "")
        if adds:
            self._add()
        while not self.has_left:
            if (item := self.table.next_item()) is not None:
                self._ask_about_item(item)
            elif (question := self.table.next_question()) is not None:
                self._ask_about_question(question)
            elif self.table.is_decided():
                self._ask_what_else()
            else:
                break

    def _sum_up(self) -> None:
        with self.library.reading() as session:
            for text in reviewing_lines.farewell(session, self.draft_id):
                say(text)

    def _ask_what_else(self) -> None:
        """All is decided: what publishing may still ask for can be looked at, borrowed and added."""
        typer.echo("All is decided. k what is known, b borrow of it, h add by hand, u undo, q quit.")
        pressed = keys.key("Anything else", "kbhuq?")
        self._other("k" if pressed == "b" else pressed, "")

    def _ask_about_item(self, item: DraftItem) -> None:
        with self.library.reading() as session:
            lines = [*reviewing_lines.item_lines(session, item)]
        for text in (*lines, *borrowing.about(self.table.findings(), item.case.key)):
            say(text)
        match keys.key("Decide", "craunphkq?"):
            case "c":
                self._decide(item, Judgement(verdict="confirmed"))
            case "r":
                self._decide(item, asking.rejection())
            case "a":
                self._decide(item, asking.amendment(item.case.kind))
            case "p":
                self._play(item.quotes, item.borrowed)
            case "u" if not self.table.done and self.table.has_decided(item):
                self.table.done.append(lambda work: _undone_item(work, item.item_id))
                self.table.take_back()
            case other:
                self._other(other, item.case.key)

    def _ask_about_question(self, question: DraftQuestion) -> None:
        candidates: tuple[Candidate, ...] = ()
        if question.kind == "borrowed":
            with self.library.reading() as session:
                candidates = borrow_candidates(session, question.question_id)
        lines = [*reviewing_lines.question_lines(question)]
        for text in [*lines, *borrowing.candidate_lines(candidates)] if question.kind == "borrowed" else lines:
            say(text)
        match keys.key("Settle", f"acds{'b' if borrowing.loans(candidates) else ''}unphkq?"):
            case "a":
                answer = keys.line("Answer")
                if answer:
                    self._settle(question, Answer(outcome="answered", answer=answer))
            case "c":
                self._settle(question, Answer(outcome="carried"))
            case "d":
                self._settle(question, Answer(outcome="not needed"))
            case "s":
                self._answer_by_still(question)
            case "b":
                self._borrow_for(question, candidates)
            case "p" if question.carried_from is not None:
                say(f"These words were said on the visit of edition {question.carried_from}, not on this one.", "")
            case "p":
                self._play(question.quotes, None)
            case other:
                self._other(other, question.key)

    def _play(self, quotes: tuple[Quoted, ...], borrowed: Borrowed | None) -> None:
        for text in listen(self.library, self.actor, self.draft_id, quotes, borrowed):
            say(text)

    def _other(self, pressed: str, key: str) -> None:
        match pressed:
            case "u":
                self.table.take_back()
            case "n":
                self.table.passed.add(key)
            case "h":
                self._add()
            case "k":
                self._look_at_what_is_known()
            case "?":
                typer.echo(reviewing_lines.HELP)
            case _:
                self.has_left = True

    def _decide(self, item: DraftItem, judgement: Judgement | None) -> None:
        if judgement is None:
            return

        def decided(work: Work) -> str:
            return f"{item.case.key}: {decide(work, item.item_id, item.version, judgement).state.name}"

        rewords = judgement.verdict != "confirmed"
        self.table.act(decided, lambda work: _undone_item(work, item.item_id), rewords=rewords)

    def _settle(self, question: DraftQuestion, answer: Answer) -> None:
        def settled(work: Work) -> str:
            return f"{settle(work, question.question_id, question.version, answer).key}: {answer.outcome}"

        self.table.act(settled, lambda work: _undone_question(work, question.question_id), rewords=False)

    def _add(self) -> None:
        with self.library.reading() as session:
            talk = draft_of(session, self.draft_id).transcript
        item = asking.hand_item(talk)
        if item is not None:
            self._put(lambda work: add_by_hand(work, self.draft_id, item), "added")

    def _put(self, put: Callable[[Work], DraftItem], told: str) -> str | None:
        """Puts an item on the table that can be taken out again; gives its key, None where it was refused."""
        made: list[DraftItem] = []

        def done(work: Work) -> str:
            made.append(put(work))
            return f"{made[0].case.key}: {told}; two people decide on it"

        is_done = self.table.act(done, lambda work: _taken_out(work, made[0].item_id))
        return made[0].case.key if is_done else None

    def _borrow(self, offered: Sequence[borrowing.Loan]) -> tuple[str, borrowing.Loan] | None:
        number = asking.number_of("Borrow which", len(offered))
        if number is None:
            return None
        loan = offered[number]

        def borrowed(work: Work) -> DraftItem:
            return borrow(work, self.draft_id, edition_lent(work.session, loan.borrowed), loan.borrowed.item)

        key = self._put(borrowed, "borrowed")
        return (key, loan) if key is not None else None

    def _borrow_for(self, question: DraftQuestion, candidates: Sequence[Candidate]) -> None:
        """Borrows an item; whether it answers the question, which stays open otherwise, the person says."""
        done = self._borrow(borrowing.loans(candidates))
        if done is None or keys.key("Does that answer it", "yn") != "y":
            return
        key, loan = done
        source = f"edition {loan.borrowed.edition} of {loan.borrowed.subject}"
        self._settle(question, Answer(outcome="answered", answer=f"As in {source} ({key}): {loan.says}"))

    def _answer_by_still(self, question: DraftQuestion) -> None:
        with self.library.reading() as session:
            stills = stills_for(session, self.draft_id, as_known(session, self.actor).roles)
            hidden = len(stills_for(session, self.draft_id, KEEPERS)) - len(stills)
        if hidden:
            say(f"Hidden stills of this visit: {hidden}. Ask an archivist whether they must be.")
        elif not stills:
            typer.echo("This visit has no stills. Those of a film come with `vouchbook add`.\n")
        if not stills:
            return
        at_s = (question.start_s + question.end_s) / 2 if question.quotes and not question.carried_from else None
        near = nearest_first(stills, question.key, at_s)
        for text in reviewing_lines.still_lines(self.library, near):
            say(text)
        found = asking.spot_in("Still and spot (1, 40%, 55% from the left and the top)", len(near))
        if found is not None:
            words = keys.line("[Answer in words]") or None
            still = {"still_sha256": near[found[0]].sha256, "spot": found[1]}
            self._settle(question, Answer.model_validate({"outcome": "answered", "answer": words, **still}))

    def _look_at_what_is_known(self) -> None:
        findings = self.table.findings()
        for text in borrowing.known_lines(findings):
            say(text)
        if offered := borrowing.not_mentioned(findings):
            self._borrow(offered)


def _undone_item(work: Work, item_id: int) -> str:
    return undo(work, item_id, work.session.get_one(ItemRow, item_id).version).case.key


def _undone_question(work: Work, question_id: int) -> str:
    return unsettle(work, question_id, work.session.get_one(QuestionRow, question_id).version).key


def _taken_out(work: Work, item_id: int) -> str:
    return take_out(work, item_id, work.session.get_one(ItemRow, item_id).version)
