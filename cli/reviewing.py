"""A review at the terminal: shows, asks, and keeps every decision at once."""

from collections.abc import Callable
from typing import get_args

import typer
from pydantic import ValidationError

from vouchbook.cli import keys, reviewing_lines
from vouchbook.cli.listening import listen
from vouchbook.library.actor import Work
from vouchbook.library.open import Library
from vouchbook.library.review.cases import DraftItem, draft_items
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.settle import DraftQuestion, draft_questions, settle, unsettle
from vouchbook.library.store.tables import ItemRow, QuestionRow
from vouchbook.models.decisions import Answer, FieldValue, Judgement, RejectReason
from vouchbook.models.editions import FIELDS, Borrowed, Quoted
from vouchbook.models.errors import LibraryError
from vouchbook.models.people import Actor

_REASONS: tuple[RejectReason, ...] = get_args(RejectReason)
_WAITS = ("open", "waits for a second person")


class Reviewing:
    """One person at the table of one draft."""

    def __init__(self, library: Library, actor: Actor, draft_id: int) -> None:
        self.library, self.actor, self.draft_id = library, actor, draft_id
        self.done: list[Callable[[Work], str]] = []
        """How to take back each thing that was decided here, in order."""
        self.passed: set[str] = set()
        self.has_left = False

    def run(self) -> None:
        """Everything that waits for this person, items first, until nothing does or they leave."""
        with self.library.reading() as session:
            draft_items(session, self.draft_id)  # says at once if there is no such draft
        while not self.has_left and (item := self._next_item()) is not None:
            self._ask_about_item(item)
        while not self.has_left and (question := self._next_question()) is not None:
            self._ask_about_question(question)
        with self.library.reading() as session:
            for text in reviewing_lines.farewell(session, self.draft_id):
                typer.echo(text)

    def _next_item(self) -> DraftItem | None:
        with self.library.reading() as session:
            for item in draft_items(session, self.draft_id):
                mine = self.actor.person in {one.by for one in item.state.counted}
                if item.state.name in _WAITS and not mine and item.case.key not in self.passed:
                    return item
        return None

    def _next_question(self) -> DraftQuestion | None:
        with self.library.reading() as session:
            questions = draft_questions(session, self.draft_id)
        return next((one for one in questions if one.settled is None and one.key not in self.passed), None)

    def _ask_about_item(self, item: DraftItem) -> None:
        with self.library.reading() as session:
            for text in reviewing_lines.item_lines(session, item):
                typer.echo(text)
        match keys.key("Decide", "craunpq?"):
            case "c":
                self._decide(item, Judgement(verdict="confirmed"))
            case "r":
                self._decide(item, _rejection())
            case "a":
                self._decide(item, _amendment(item))
            case "p":
                self._play(item.quotes, item.borrowed)
            case other:
                self._other(other, item.case.key)

    def _ask_about_question(self, question: DraftQuestion) -> None:
        for text in reviewing_lines.question_lines(question):
            typer.echo(text)
        match keys.key("Settle", "acdunpq?"):
            case "a":
                answer = keys.line("Answer")
                if answer:
                    self._settle(question, Answer(outcome="answered", answer=answer))
            case "c":
                self._settle(question, Answer(outcome="carried"))
            case "d":
                self._settle(question, Answer(outcome="not needed"))
            case "p":
                self._play(question.quotes, None)
            case other:
                self._other(other, question.key)

    def _play(self, quotes: tuple[Quoted, ...], borrowed: Borrowed | None) -> None:
        for text in listen(self.library, self.actor, self.draft_id, quotes, borrowed):
            typer.echo(text)

    def _other(self, pressed: str, key: str) -> None:
        match pressed:
            case "u":
                self._take_back()
            case "n":
                self.passed.add(key)
            case "?":
                typer.echo(reviewing_lines.HELP)
            case _:
                self.has_left = True

    def _decide(self, item: DraftItem, judgement: Judgement | None) -> None:
        if judgement is None:
            return
        after = self._try(lambda work: decide(work, item.item_id, item.version, judgement).state.name)
        if after is not None:
            typer.echo(f"{item.case.key}: {after}\n")
            self.done.append(lambda work: _undone_item(work, item.item_id))

    def _settle(self, question: DraftQuestion, answer: Answer) -> None:
        def settled(work: Work) -> str:
            return settle(work, question.question_id, question.version, answer).key

        if self._try(settled) is not None:
            typer.echo(f"{question.key}: {answer.outcome}\n")
            self.done.append(lambda work: _undone_question(work, question.question_id))

    def _take_back(self) -> None:
        if not self.done:
            typer.echo("Nothing was decided here yet.")
            return
        key = self._try(self.done.pop())
        if key is not None:
            self.passed.discard(key)
            typer.echo(f"{key}: taken back\n")

    def _try(self, act: Callable[[Work], str]) -> str | None:
        """What ``act`` gives in a piece of work of its own; None where it was refused, which is told."""
        try:
            with self.library.work(self.actor) as work:
                return act(work)
        except LibraryError as error:
            typer.echo(f"{error}\n")
            return None


def _undone_item(work: Work, item_id: int) -> str:
    return undo(work, item_id, work.session.get_one(ItemRow, item_id).version).case.key


def _undone_question(work: Work, question_id: int) -> str:
    return unsettle(work, question_id, work.session.get_one(QuestionRow, question_id).version).key


def _rejection() -> Judgement | None:
    typer.echo("  ".join(f"{number} {reason}" for number, reason in enumerate(_REASONS, 1)))
    pressed = keys.key("Why", "".join(str(number) for number in range(1, len(_REASONS) + 1)) + "q")
    if pressed == "q":
        return None
    reason = _REASONS[int(pressed) - 1]
    note = keys.line("Note") if reason == "other" else ""
    return _judgement({"verdict": "rejected", "reason": reason, "note": note or None})


def _amendment(item: DraftItem) -> Judgement | None:
    """The new words, field by field as ``field=words``, until an empty line."""
    typer.echo("Type FIELD=NEW WORDS, an empty line ends: " + ", ".join(FIELDS[item.case.kind]))
    words: dict[str, FieldValue] = {}
    while typed := keys.line("Amend"):
        field, _, value = typed.partition("=")
        value = value.strip()
        words[field.strip()] = int(value) if field.strip() == "count" and value.isdigit() else value or None
    return _judgement({"verdict": "amended", "words": words}) if words else None


def _judgement(fields: dict[str, object]) -> Judgement | None:
    try:
        return Judgement.model_validate(fields)
    except ValidationError as error:
        typer.echo(f"{error.errors(include_url=False)[0]['msg']}\n")
        return None
