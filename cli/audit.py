"""``vouchbook audit``: the journal of every change, and whether it and what it tells of still stand."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

NAME = "audit"
SUMMARY = "Has anything been changed behind the library's back?"
HELP = """Verify the journal and what it tells of, print its head for keeping elsewhere, or list its entries.

verify finds an entry that was edited, deleted or moved, an edition that is not what was published, and items and
decisions that are not what was read and taken; the exit code is then 1. Heads that were printed before and kept
elsewhere also show where the end was cut off or everything was worked out anew.

\b
Examples:
  vouchbook audit verify
  vouchbook audit head >> heads.txt
  vouchbook audit verify --kept heads.txt
  vouchbook audit log --about "item 12"
"""


class Action(StrEnum):
    """What can be done with the journal."""

    VERIFY = "verify"
    HEAD = "head"
    LOG = "log"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")] = Action.VERIFY,
    kept: Annotated[
        Path | None, typer.Option("--kept", metavar="FILE", help="Heads that were printed before, one a line.")
    ] = None,
    about: Annotated[
        str | None, typer.Option("--about", metavar="'KIND NUMBER'", help="Only what happened to this: 'item 12'.")
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """What was asked for, printed; exit code 1 where something was changed."""
    from vouchbook.library.audit.journal import head

    with opened(library, media) as opened_library, opened_library.reading() as session:
        if action is Action.HEAD:
            say(str(head(session)))
        elif action is Action.LOG:
            _print_log(session, about)
        else:
            wrong = _troubles(session, kept)
            for line in wrong:
                say(line)
            if wrong:
                raise typer.Exit(1)
            say(f"{head(session).seq} entries, and all that they tell of, stand as they were written.")


def _troubles(session: "Session", kept: Path | None) -> list[str]:
    from sqlalchemy import select

    from vouchbook.library.audit.chain import Head
    from vouchbook.library.audit.journal import verify
    from vouchbook.library.editions.shelf import altered
    from vouchbook.library.review.witness import altered_in_draft
    from vouchbook.library.store.tables import DraftRow
    from vouchbook.models.errors import StoreError

    heads = []
    if kept is not None:
        try:
            lines = kept.read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise SettingError(f"{kept}: cannot be read ({error}). Give the file with the heads.") from error
        heads = [Head.read(line) for line in lines if line.strip()]
    broken = verify(session, heads)
    wrong = [] if broken is None else [broken.sentence]
    wrong += [f"Edition {number}: {problem}." for number, problem in altered(session)]
    for draft_id in session.scalars(select(DraftRow.id).order_by(DraftRow.id)).all():
        try:
            found = list(altered_in_draft(session, draft_id))
        except StoreError as error:
            wrong.append(str(error))
        else:
            wrong += [f"Draft {draft_id}, item {key}: {problem}." for key, problem in found]
    return wrong


def _print_log(session: "Session", about: str | None) -> None:
    from vouchbook.library.audit.journal import entries, entries_about
    from vouchbook.library.people.people import names, people

    known = names(session)
    logins = {str(one.id): one.login for one in people(session)}
    what, _, number = (about or "").partition(" ")
    for entry in entries_about(session, what, number.strip()) if about else entries(session):
        who = known.get(entry.person, "?") if entry.person is not None else "the library"
        login = f" ({logins[entry.what_id]})" if entry.what == "person" and entry.what_id in logins else ""
        say(f"{entry.seq:6} {entry.at:%Y-%m-%d %H:%M:%S} {who} {entry.act} {entry.what} {entry.what_id}{login}")
