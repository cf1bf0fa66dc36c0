"""The command ``vouchbook``, and the one place where errors become a line and an exit code.

0: done. 1: done, and something is wrong (doctor, drafts, schema --check, audit, library check, restore) or was not
found (find). 2: an input, option or model cannot be used; one line on standard error says which, why and what to do.
130: interrupted. Anything else is a defect of ours.
"""

import io
import sys
from collections.abc import Sequence
from typing import Annotated, NoReturn

import typer

from vouchbook.cli import (
    add,
    audit,
    backup,
    consent,
    demo,
    diff,
    doctor,
    draft,
    drafts,
    due,
    explain,
    export,
    find,
    hear,
    hold,
    import_,
    library_check,
    pack,
    participants,
    people,
    publish,
    restore,
    retention,
    review,
    schema,
    serve,
    settings,
)
from vouchbook.cli.plain import say
from vouchbook.models.errors import VouchbookError

app = typer.Typer(
    name="vouchbook",
    help=(
        "From the recording of a walk-through to a draft of steps, tools, places, warnings and signs, each tied to the "
        "words and seconds that say it.\n\nEverything happens on this machine. A draft is for training and "
        "pre-planning: nothing in it is confirmed until a named person has vouched for it."
    ),
    epilog="Start with `vouchbook demo`. Exit codes: 0 done, 1 something is wrong, 2 cannot be used, 130 interrupted.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,  # a defect keeps its plain traceback
    rich_markup_mode=None,  # plain help: it reads the same in a terminal, a pipe and the documentation
    context_settings={"help_option_names": ["-h", "--help"]},
)
_COMMANDS = (
    draft, hear, drafts, explain, pack, add, review, publish, find, due, diff, audit, people, settings,
    participants, consent, hold, retention, serve, export, import_, backup, restore, library_check, demo, doctor,
    schema,
)  # fmt: skip
for _command in _COMMANDS:
    app.command(
        name=_command.NAME,
        help=_command.HELP,
        short_help=_command.SUMMARY,
        context_settings=getattr(_command, "SETTINGS", None),
    )(_command.run)


def _print_version(asked: bool) -> None:  # noqa: FBT001  the shape that typer calls
    if asked:
        from importlib.metadata import version

        say(f"vouchbook {version('vouchbook')}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version.", callback=_print_version, is_eager=True)
    ] = False,
) -> None:
    del version


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run the command line ``arguments`` (those of the process by default) and leave with their exit code.

    Raises:
        SystemExit: always.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")  # Windows would use the code page of the console
    try:
        app(args=None if arguments is None else list(arguments), prog_name="vouchbook")
    except VouchbookError as error:
        say(str(error), is_error=True)
        sys.exit(2)
    sys.exit(0)
