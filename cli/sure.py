"""Before something goes for good: a person types yes at a terminal, a script says so with its command."""

import sys
from collections.abc import Iterable
from typing import Annotated

import typer

from vouchbook.cli import keys
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

Sure = Annotated[bool, typer.Option("--yes", help="Do not ask for a yes; for scripts.")]


def ask_if_sure(what: str, lines: Iterable[str], *, is_sure: bool) -> None:
    """Goes on where ``is_sure``, or where somebody read ``lines`` and typed yes.

    Raises:
        SettingError: there is no terminal to ask at.
        typer.Exit: with code 1, where it was anything but yes.
    """
    if is_sure:
        return
    if not sys.stdin.isatty():
        raise SettingError(f"{what}: there is no terminal to ask at. Give --yes if you are sure.")
    for line in lines:
        say(line)
    if keys.line("Type yes to go on") != "yes":
        typer.echo("Nothing was changed.")
        raise typer.Exit(1)
