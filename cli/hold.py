"""``vouchbook hold``: legal holds, under which nothing of a visit goes."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.keeping.holds import Hold
    from vouchbook.library.open import Library
    from vouchbook.models.people import Actor

NAME = "hold"
SUMMARY = "Legal holds, under which nothing of a visit goes."
HELP = """List the legal holds, place one on a visit, or lift one.

While a hold stands on a visit, neither retention nor a withdrawn consent removes anything of it. Several may stand on
one visit; the last that is lifted sets its files free, and what is free to go is printed. Lifting removes nothing.

\b
Examples:
  vouchbook hold
  vouchbook hold list --all
  vouchbook hold place 1 --reason "inquiry 7 of the county" --as alva
  vouchbook hold lift 2 --as alva
"""


class Action(StrEnum):
    """What can be done with holds."""

    LIST = "list"
    PLACE = "place"
    LIFT = "lift"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")] = Action.LIST,
    number: Annotated[
        int | None, typer.Argument(metavar="NUMBER", help="Of the visit to place it on, or of the hold to lift.")
    ] = None,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Who asked for it, or for which case.")] = "",
    also_lifted: Annotated[bool, typer.Option("--all", help="List those that were lifted, too.")] = False,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The holds; or the one that was placed or lifted, and what is free to go."""
    if action is Action.PLACE and number is None:
        raise SettingError("hold place: no visit was named. Give its number.")
    if action is Action.LIFT and number is None:
        raise SettingError("hold lift: no hold was named. Take its number from `vouchbook hold`.")
    with opened(library, media) as kept:
        if action is Action.LIST or number is None:
            _list(kept, number, also_lifted=also_lifted)
        elif action is Action.PLACE:
            _place(kept, acting(kept, login), number, reason)
        else:
            _lift(kept, acting(kept, login), number)


def _list(library: "Library", visit: int | None, *, also_lifted: bool) -> None:
    from vouchbook.library.keeping.holds import holds
    from vouchbook.library.people.people import names
    from vouchbook.library.visits.visits import visit_of

    with library.reading() as session:
        found, known = holds(session, visit_id=visit, also_lifted=also_lifted), names(session)
        for one in found:
            say(_line(one, str(visit_of(session, one.visit_id).subject), known))
    if not found:
        say("No hold stands." if not also_lifted else "There was never a hold.")


def _line(one: "Hold", subject: str, known: dict[int, str]) -> str:
    lifted = ""
    if one.lifted_at is not None and one.lifted_by is not None:
        lifted = f"  (lifted {one.lifted_at:%Y-%m-%d} by {known.get(one.lifted_by, '?')})"
    placed = f"{one.placed_at:%Y-%m-%d}  {known.get(one.placed_by, '?')}"
    return f"{one.id:4}  visit {one.visit_id}, {subject}  {placed}: {one.reason}{lifted}"


def _place(library: "Library", actor: "Actor", visit: int, reason: str) -> None:
    from vouchbook.library.keeping.holds import place_hold

    with library.work(actor) as work:
        hold = place_hold(work, visit, reason)
    say(f"Hold {hold} stands on visit {visit}: nothing of it goes until `vouchbook hold lift {hold}`.")


def _lift(library: "Library", actor: "Actor", hold: int) -> None:
    from vouchbook.cli.consent_lines import names_that_wait
    from vouchbook.cli.media_lines import medium_line, short
    from vouchbook.library.keeping.holds import holds, lift_hold
    from vouchbook.library.keeping.kept import media_of
    from vouchbook.library.keeping.retention import due
    from vouchbook.library.store.tables import HoldRow

    with library.work(actor) as work:
        free = lift_hold(work, hold)
        visit = work.get(HoldRow, hold, "hold").visit_id
    say(f"Hold {hold} on visit {visit} is lifted.")
    with library.reading() as session:
        left = holds(session, visit_id=visit)
        for one in left:
            say(f"Hold {one.id} still stands on it.")
        ripe = (one.sha256 for one in due(session, library.clock().date()) if one.may_go)
        going = [
            one for one in media_of(session, (*free, *ripe)).values() if visit in {use.visit_id for use in one.uses}
        ]
        for medium in going:
            say(f"free to go  {medium_line(medium)}: `vouchbook retention let-go {short(medium.sha256)}`")
        waiting = () if left else names_that_wait(session, visit)
    for line in waiting:
        say(line)
    if not (going or waiting):
        typer.echo("Nothing waits for its end to go.")
