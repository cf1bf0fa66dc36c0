"""``vouchbook review``: what was read, one thing after the other, decided with one key each."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library

NAME = "review"
SUMMARY = "Decide on a draft, one key for each item."
HELP = """Show each item of DRAFT that waits for you, with the words that say it, and take your decision by one key.

Keys: c confirm, r reject, a amend, u undo your last decision, n next, p play, q quit, ? help. Then the open questions:
a answer, s answer by a spot in a still, c carry to the next visit, d drop as not needed. Anywhere: h add an item by
hand, k what the library knows against the draft. b borrows from another edition where the talk said "same as the last
one". p plays the words where ffplay or mpv is installed; danger warnings and doubtful words must be played before they
are decided. Every decision is kept at once. Keys and answers may also come through a pipe, one a line. Without DRAFT,
list the drafts on the table.

\b
Examples:
  vouchbook review
  vouchbook review 31 --as runa
  vouchbook review 31 --add --as runa
"""


def run(
    draft: Annotated[int | None, typer.Argument(metavar="[DRAFT]", help="Its number.")] = None,
    add: Annotated[bool, typer.Option("--add", help="Begin with an item by hand, also where all is decided.")] = False,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The review at the terminal, or the drafts on the table."""
    from vouchbook.cli.reviewing import Reviewing

    if add and draft is None:
        raise SettingError("review: nobody said to which draft. Give its number.")
    with opened(library, media) as kept:
        if draft is None:
            _list(kept)
        else:
            Reviewing(kept, acting(kept, login), draft).run(adds=add)


def _list(library: "Library") -> None:
    from sqlalchemy import select

    from vouchbook.library.review.figures import counts
    from vouchbook.library.store.tables import DraftRow
    from vouchbook.library.visits.visits import visit_of

    with library.reading() as session:
        rows = session.scalars(select(DraftRow).where(DraftRow.state == "open").order_by(DraftRow.id)).all()
        for row in rows:
            now, visit = counts(session, row.id), visit_of(session, row.visit_id)
            told = [f"{number} {state}" for state, number in now.items.items()]
            told += [f"{now.questions['open']} open questions"] if "open" in now.questions else []
            say(f"{row.id:4}  {visit.held_on}  {visit.subject}: {', '.join(told)}")
    if not rows:
        typer.echo("No draft is on the table.")
