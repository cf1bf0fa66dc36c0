"""``vouchbook consent``: what those who are heard and seen agreed to, and what a withdrawal takes."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say
from vouchbook.cli.sure import Sure, ask_if_sure
from vouchbook.cli.taking_part import participant_of
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from vouchbook.library.keeping.consent import Standing
    from vouchbook.library.open import Library
    from vouchbook.models.people import Actor
    from vouchbook.models.visits import Covers

NAME = "consent"
SUMMARY = "What those who are heard and seen agreed to."
HELP = """Show where the people of a VISIT stand, write down what somebody says, or show a file again.

A withdrawal hides the recordings and pictures that show the person from all but those who keep the library; with
--remove they go for good, and so does a withdrawn name in the list. Under a legal hold they are hidden until it ends.
WHO is a number or name of `vouchbook consent list VISIT`; whoever is missing there is named with
`vouchbook participants`. Without VISIT, list the newest visits.

\b
Examples:
  vouchbook consent
  vouchbook consent list 1
  vouchbook consent give 1 "Dov Almar" --covers voice --covers picture --note "signed sheet 12" --as olin
  vouchbook consent withdraw 1 "Dov Almar" --covers picture --as olin
  vouchbook consent withdraw 1 2 --covers voice --covers name --remove --as alva
  vouchbook consent show-again 1 3f2a1b9c04d5 --as alva
"""


class Action(StrEnum):
    """What can be done about consent."""

    LIST = "list"
    GIVE = "give"
    WITHDRAW = "withdraw"
    SHOW_AGAIN = "show-again"


class Covered(StrEnum):
    """What consent can be about."""

    VOICE = "voice"
    PICTURE = "picture"
    NAME = "name"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")] = Action.LIST,
    visit: Annotated[int | None, typer.Argument(metavar="VISIT", help="The number of the visit.")] = None,
    who: Annotated[str | None, typer.Argument(metavar="WHO|HASH", help="Whom, or for show-again which file.")] = None,
    covers: Annotated[list[Covered] | None, typer.Option("--covers", help="What it covers; repeat for more.")] = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="How it was said: a sheet, a call.")] = "",
    remove: Annotated[bool, typer.Option("--remove", help="Remove for good instead of hiding.")] = False,
    yes: Sure = False,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """Where everybody stands; or what was written down, what went and what stays, line by line."""
    if remove and action is not Action.WITHDRAW:
        raise SettingError(f"consent {action}: --remove belongs to withdraw. Leave it away.")
    if action is not Action.LIST and (visit is None or who is None):
        raise SettingError(f"consent {action}: give the number of the visit, and {_wanted(action)}.")
    if action in (Action.GIVE, Action.WITHDRAW) and not covers:
        raise SettingError(f"consent {action}: nobody said what it covers. Give --covers voice, picture or name.")
    with opened(library, media) as kept:
        if visit is None:
            _list_all(kept)
        elif who is None:
            _list(kept, visit)
        elif action is Action.LIST:
            raise SettingError("consent list: it lists a whole visit. Give its number alone.")
        elif action is Action.GIVE:
            _give(kept, acting(kept, login), visit, who, covers or [], note)
        elif action is Action.WITHDRAW:
            _withdraw(kept, acting(kept, login), visit, who, covers or [], note, removes=remove, is_sure=yes)
        else:
            _show_again(kept, acting(kept, login), visit, who, is_sure=yes)


def _wanted(action: Action) -> str:
    return "which file (its hash)" if action is Action.SHOW_AGAIN else "who it is (number or name)"


def _list_all(library: "Library") -> None:
    from vouchbook.cli.consent_lines import visit_line
    from vouchbook.library.keeping.consent import consents_of
    from vouchbook.library.visits.listing import MOST, visits

    with library.reading() as session:
        found = visits(session, most=MOST)
        for one in found:
            say(visit_line(one, consents_of(session, one.id)))
    if len(found) == MOST:
        typer.echo("Older visits are not listed; `vouchbook consent list VISIT` shows each.")
    if not found:
        typer.echo("There is no visit yet.")


def _list(library: "Library", visit: int) -> None:
    from vouchbook.cli.consent_lines import visit_lines

    with library.reading() as session:
        for line in visit_lines(session, visit):
            say(line)


def _give(library: "Library", actor: "Actor", visit: int, who: str, covers: "Iterable[Covered]", note: str) -> None:
    from vouchbook.cli.consent_lines import hidden_lines
    from vouchbook.library.keeping.consent import give

    with library.reading() as session:
        about = participant_of(session, visit, who)
    _check(note)
    with library.work(actor) as work:
        now = give(work, about.participant_id, [one.value for one in covers], note)
    say(f"Written down: {_about(visit, about)} agrees to {', '.join(sorted(now.agreed))}.")
    with library.reading() as session:
        for line in hidden_lines(session, visit):
            say(line)


def _withdraw(
    library: "Library", actor: "Actor", visit: int, who: str, covers: "Iterable[Covered]", note: str, *,
    removes: bool, is_sure: bool,
) -> None:  # fmt: skip
    from vouchbook.cli.consent_lines import removal_lines
    from vouchbook.cli.media_lines import gone_lines
    from vouchbook.library.actor import as_known, needs
    from vouchbook.library.keeping.consent import withdraw
    from vouchbook.library.keeping.removal import KEEPERS

    wanted: list[Covers] = [one.value for one in dict.fromkeys(covers)]
    with library.reading() as session:
        about = participant_of(session, visit, who)
        if removes:
            needs(as_known(session, actor), *KEEPERS)
        lines = removal_lines(session, visit, about, wanted) if removes else []
    _check(note)
    if removes:
        ask_if_sure("consent withdraw --remove", lines, is_sure=is_sure)
    done = withdraw(library, actor, about.participant_id, wanted, note, removes=removes)
    written = "Written down" if done.is_new else "Was written down already"
    say(f"{written}: {_about(visit, about)} no longer agrees to {', '.join(sorted(wanted))}.")
    with library.reading() as session:
        for line in gone_lines(session, done.gone):
            say(line)
        now = participant_of(session, visit, str(about.participant_id)).participant
    if now.name != about.participant.name:
        say(f"removed  the name of participant {about.participant_id}, from the list")
    if not done.gone:
        typer.echo("No file went.")
    for sentence in done.stays:
        say(f"stays    {sentence}")


def _show_again(library: "Library", actor: "Actor", visit: int, given: str, *, is_sure: bool) -> None:
    from vouchbook.cli.consent_lines import against_lines
    from vouchbook.cli.media_lines import medium_line, named
    from vouchbook.library.actor import as_known, found, needs
    from vouchbook.library.keeping.kept import media_of_visit
    from vouchbook.library.keeping.removal import KEEPERS, show
    from vouchbook.library.store.tables import VisitRow

    with library.reading() as session:
        needs(as_known(session, actor), *KEEPERS)
        found(session, VisitRow, visit, "visit")
        hidden = {one.sha256: one for one in media_of_visit(session, visit) if one.state == "hidden"}
        medium = hidden[named(given, hidden, f"vouchbook consent list {visit}")]
        lines = against_lines(session, medium)
    if lines:
        ask_if_sure("consent show-again: somebody withdrew their consent", lines, is_sure=is_sure)
    with library.work(actor) as work:
        show(work, medium.sha256)
    say(f"shown again  {medium_line(medium)}")


def _check(note: str) -> None:
    if not note.isprintable():
        raise SettingError("consent: the note holds characters that cannot be shown. Give it on one line.")


def _about(visit: int, one: "Standing") -> str:
    """Without the name, which may just have been withdrawn."""
    return f"participant {one.participant_id} of visit {visit}"
