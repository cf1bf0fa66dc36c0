"""``vouchbook retention``: how long files are kept, and what is due to go."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, day_of, opened
from vouchbook.cli.plain import say
from vouchbook.cli.sure import Sure, ask_if_sure
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.keeping.retention import Retention
    from vouchbook.library.open import Library
    from vouchbook.models.people import Actor

NAME = "retention"
SUMMARY = "How long files are kept, and what is due to go."
HELP = """Show the rules by which files are kept, change them, list what is due, or let what is due go.

The months count from the day of the visit, for each kind of file: recording, captions, still, other. Nothing goes by
the clock alone: somebody lets it go. What an edition in force rests on stays beyond its months, unless the rules say
otherwise, and nothing goes under a legal hold.

\b
Examples:
  vouchbook retention
  vouchbook retention set --keep recording=24 --keep still=always --as ada
  vouchbook retention set --let-editions-go --as ada
  vouchbook retention due
  vouchbook retention let-go 3f2a1b9c04d5 --as alva
  vouchbook retention let-go --all-due --yes --as alva
"""
_ALWAYS = "always"


class Action(StrEnum):
    """What can be done about retention."""

    SHOW = "show"
    SET = "set"
    DUE = "due"
    LET_GO = "let-go"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")] = Action.SHOW,
    hashes: Annotated[list[str] | None, typer.Argument(metavar="HASH", help="A file to let go.")] = None,
    keep: Annotated[
        list[str] | None,
        typer.Option("--keep", metavar="KIND=MONTHS", help="How long; KIND=always for ever. Repeat for more."),
    ] = None,
    spares_editions: Annotated[
        bool | None, typer.Option("--spare-editions/--let-editions-go", help="Whether editions keep their files.")
    ] = None,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", callback=day_of("day"), help="Due on another day than today.")
    ] = None,
    all_due: Annotated[bool, typer.Option("--all-due", help="Let go all that is due and that nothing keeps.")] = False,
    yes: Sure = False,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The rules, what is due, or what went, line by line."""
    if hashes and action is not Action.LET_GO:
        raise SettingError(f"retention {action}: it takes no HASH. Leave it away, or use let-go.")
    if action is Action.LET_GO and bool(hashes) == all_due:
        raise SettingError("retention let-go: give the hashes of `vouchbook retention due`, or --all-due.")
    if action is Action.SET and not keep and spares_editions is None:
        raise SettingError(
            "retention set: nothing was said. Give --keep, or one of --spare-editions/--let-editions-go."
        )
    with opened(library, media) as kept:
        if action is Action.SHOW:
            _show(kept)
        elif action is Action.SET:
            _set(kept, acting(kept, login), keep or [], spares_editions=spares_editions)
        elif action is Action.DUE:
            _due(kept, on)
        else:
            _let_go(kept, acting(kept, login), hashes or [], is_sure=yes)


def _show(library: "Library") -> None:
    from vouchbook.library.keeping.retention import retention

    with library.reading() as session:
        _print(retention(session))


def _print(rules: "Retention") -> None:
    from typing import get_args

    from vouchbook.models.visits import MediumRole

    months = {str(role): number for role, number in rules.months.items()}
    for role in get_args(MediumRole):
        unit = "month" if months.get(role) == 1 else "months"
        say(f"{role:16} {f'{months[role]} {unit}' if role in months else _ALWAYS}")
    say(f"{'spare-editions':16} {'yes' if rules.spares_editions else 'no'}")


def _set(library: "Library", actor: "Actor", keep: list[str], *, spares_editions: bool | None) -> None:
    from vouchbook.library.keeping.retention import Retention, retention, set_retention

    with library.work(actor) as work:
        before = retention(work.session)
        months = {str(role): number for role, number in before.months.items()}
        for given in keep:
            role, number = _told(given)
            if number is None:
                months.pop(role, None)
            else:
                months[role] = number
        spares = before.spares_editions if spares_editions is None else spares_editions
        after = Retention.model_validate({"months": months, "spares_editions": spares})
        set_retention(work, after)
    _print(after)
    _due(library, None)


def _told(given: str) -> tuple[str, int | None]:
    """ "recording=24" taken apart; None for "always"."""
    from typing import get_args

    from vouchbook.models.visits import MediumRole

    role, _, months = (part.strip() for part in given.partition("="))
    if role not in get_args(MediumRole):
        raise SettingError(f"--keep {given!r}: there is no such kind of file. Give {', '.join(get_args(MediumRole))}.")
    if months != _ALWAYS and not (months.isdecimal() and months.isascii() and len(months) < 6):
        raise SettingError(f"--keep {given!r}: that is no number of months. Give {role}=24, or {role}={_ALWAYS}.")
    return role, None if months == _ALWAYS else int(months)


def _due(library: "Library", on: str | None) -> None:
    from datetime import date

    from vouchbook.cli.media_lines import media_lines
    from vouchbook.library.keeping.holds import free_to_go
    from vouchbook.library.keeping.retention import due

    with library.reading() as session:
        found = due(session, date.fromisoformat(on) if on else library.clock().date())
        waited = free_to_go(session)
        for line in media_lines(session, waited):
            say(f"{line}, consent withdrawn and free of holds")
        ripe = [one for one in found if one.sha256 not in waited]
        for one, line in zip(ripe, media_lines(session, [one.sha256 for one in ripe]), strict=True):
            stays = ["a legal hold stands on it"] if one.is_held else []
            stays += ["an edition in force rests on it"] if one.is_in_force else []
            say(f"{line}, due since {one.since}" + (f", stays: {' and '.join(stays)}" if stays else ""))
    if not (ripe or waited):
        typer.echo("Nothing is due.")


def _let_go(library: "Library", actor: "Actor", given: list[str], *, is_sure: bool) -> None:
    """Those that were given, or all that is due and that nothing keeps."""
    from vouchbook.cli.media_lines import gone_lines, media_lines, named
    from vouchbook.library.actor import as_known, needs
    from vouchbook.library.keeping.holds import free_to_go
    from vouchbook.library.keeping.removal import KEEPERS
    from vouchbook.library.keeping.retention import due, let_go

    with library.reading() as session:
        needs(as_known(session, actor), *KEEPERS)
        found = due(session, library.clock().date())
        waited = free_to_go(session)
        known = [*waited, *(one.sha256 for one in found)]
        if given:
            chosen = [named(one, known, "vouchbook retention due") for one in given]
        else:
            chosen = [*waited, *(one.sha256 for one in found if one.may_go)]
        lines = [f"{line}: goes for good" for line in media_lines(session, chosen)]
    if not chosen:
        typer.echo("Nothing is due that may go.")
        return
    ask_if_sure("retention let-go", lines, is_sure=is_sure)
    gone = let_go(library, actor, frozenset(chosen))
    with library.reading() as session:
        for line in gone_lines(session, gone):
            say(line)
