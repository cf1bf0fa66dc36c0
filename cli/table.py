"""What waits for one person on the table of a draft, and what they did there, to take it back."""

from collections.abc import Callable

import typer

from vouchbook.cli.plain import say
from vouchbook.library.actor import Work
from vouchbook.library.editions.publish import open_points
from vouchbook.library.known.compare import Finding
from vouchbook.library.known.stored import findings
from vouchbook.library.open import Library
from vouchbook.library.review.cases import DraftItem, draft_items
from vouchbook.library.review.settle import DraftQuestion, draft_questions
from vouchbook.models.errors import LibraryError
from vouchbook.models.people import Actor

_WAITS = ("open", "waits for a second person")


class Table:
    """A draft before one person; every act is a piece of work of its own."""

    def __init__(self, library: Library, actor: Actor, draft_id: int) -> None:
        self.library, self.actor, self.draft_id = library, actor, draft_id
        self.done: list[Callable[[Work], str]] = []
        """How to take back each thing that was done here, in order; gives the key of what it was done to."""
        self.passed: set[str] = set()
        self._known: tuple[Finding, ...] | None = None

    def next_item(self) -> DraftItem | None:
        """The first that waits for this person and was not passed over."""
        with self.library.reading() as session:
            for item in draft_items(session, self.draft_id):
                mine = self.actor.person in {one.by for one in item.state.counted}
                if item.state.name in _WAITS and not mine and item.case.key not in self.passed:
                    return item
        return None

    def next_question(self) -> DraftQuestion | None:
        """The first that is open and was not passed over."""
        with self.library.reading() as session:
            questions = draft_questions(session, self.draft_id)
        return next((one for one in questions if one.settled is None and one.key not in self.passed), None)

    def has_decided(self, item: DraftItem) -> bool:
        """Whether a decision of this person, of whatever day, stands on the item."""
        return any(one.by == self.actor.person and one.undone_at is None for one in item.decisions)

    def is_decided(self) -> bool:
        """Whether nothing stands between the draft and its edition."""
        with self.library.reading() as session:
            return not open_points(session, self.draft_id)

    def findings(self) -> tuple[Finding, ...]:
        """What stands against what is known, compared anew after what reworded the draft. A damaged edition is told."""
        if self._known is None:
            try:
                with self.library.reading() as session:
                    self._known = findings(session, self.draft_id)
            except LibraryError as error:
                say(str(error), "")
                self._known = ()
        return self._known

    def act(self, act: Callable[[Work], str], back: Callable[[Work], str], *, rewords: bool = True) -> bool:
        """Does it and prints what it says; ``back`` takes it back. False where it was refused, which is told.

        Without ``rewords`` the draft says what it said before, and is not compared with what is known again.
        """
        said = self._try(act)
        if said is not None:
            self._known = None if rewords else self._known
            say(said, "")
            self.done.append(back)
        return said is not None

    def take_back(self) -> None:
        """Takes back the last thing that was done here. What cannot be taken back is told, and the next is the last."""
        if not self.done:
            typer.echo("Nothing was decided here yet.")
            return
        key = self._try(self.done.pop())
        if key is not None:
            self._known = None
            self.passed.discard(key)
            say(f"{key}: taken back", "")

    def _try(self, act: Callable[[Work], str]) -> str | None:
        """What ``act`` gives in a piece of work of its own; None where it was refused, which is told."""
        try:
            with self.library.work(self.actor) as work:
                return act(work)
        except LibraryError as error:
            say(str(error), "")
            return None
