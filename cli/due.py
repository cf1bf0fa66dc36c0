"""``vouchbook due``: which editions are to be verified again, and that one was."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, day_of, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.editions.shelf import Shelved
    from vouchbook.library.open import Library

NAME = "due"
SUMMARY = "Which editions are to be verified again."
HELP = """List the editions in force that are due to be verified again, the longest due first.

With --verified, say that one was looked at again and is still right: it stays as it is and is due later. That needs a
reviewer or archivist who did not publish, record or draft it. --take-back takes the newest of these back.

\b
Examples:
  vouchbook due
  vouchbook due --within 90
  vouchbook due --on 2033-01-01
  vouchbook due --verified 12 --how "looked at the machine at the depot" --as runa
  vouchbook due --take-back 12 --reason "that was the older model" --as runa
"""


def run(
    within: Annotated[int, typer.Option("--within", metavar="DAYS", min=0, help="Also those due in so many days.")] = 0,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", callback=day_of("day"), help="As on another day than today.")
    ] = None,
    verified: Annotated[
        int | None, typer.Option("--verified", metavar="EDITION", help="This one was found still right.")
    ] = None,
    how: Annotated[str, typer.Option("--how", metavar="TEXT", help="By what that was seen.")] = "",
    take_back: Annotated[
        int | None, typer.Option("--take-back", metavar="EDITION", help="Its newest verification was wrong.")
    ] = None,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why it is taken back.")] = "",
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """One line for each edition that is due; or that one was verified, or no longer is."""
    if verified is not None and take_back is not None:
        raise SettingError("due: --verified and --take-back are two things. Give one of them.")
    if (how and verified is None) or (reason and take_back is None):
        raise SettingError("due: nobody said which edition. --how goes with --verified, --reason with --take-back.")
    with opened(library, media) as kept:
        if verified is not None:
            _verify(kept, login, verified, how)
        elif take_back is not None:
            _take_back(kept, login, take_back, reason)
        else:
            _list(kept, on, within)


def _list(library: "Library", on: str | None, within: int) -> None:
    from datetime import date

    from vouchbook.library.editions.due import due
    from vouchbook.library.editions.statements import listed_line

    with library.reading() as session:
        found = due(session, date.fromisoformat(on) if on else library.clock().date(), within)
    for one in found:
        late = f"{-one.days_left} days overdue" if one.days_left < 0 else f"in {one.days_left} days"
        edition = one.edition
        say(f"{edition.reverify_on}  {late:18}  {edition.id:4}  {listed_line(edition)}")
    if not found:
        typer.echo("Nothing is due.")


def _verify(library: "Library", login: str | None, edition: int, how: str) -> None:
    from vouchbook.library.editions.statements import verified_line
    from vouchbook.library.editions.verify import verify_again

    with library.work(acting(library, login)) as work:
        done = verify_again(work, edition, how)
    say(f"Edition {done.number} of {done.subject}: {verified_line(done.verified[-1])}.")
    _print_due(done)


def _take_back(library: "Library", login: str | None, edition: int, reason: str) -> None:
    from vouchbook.library.editions.verify import take_back

    with library.work(acting(library, login)) as work:
        done = take_back(work, edition, reason)
    say(f"Edition {done.number} of {done.subject}: its newest verification is taken back ({reason}).")
    _print_due(done)


def _print_due(edition: "Shelved") -> None:
    say(f"To be verified again by {edition.reverify_on}.")
