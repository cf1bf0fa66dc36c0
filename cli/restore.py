"""``vouchbook restore``: a library from a backup."""

from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, place_of
from vouchbook.cli.library_check import print_report

NAME = "restore"
SUMMARY = "A library from a backup."
HELP = """Make a library from BACKUP where there is none, and check all of it. Exit code 1 when something is wrong.

Everybody has to sign in anew. What was removed, and tokens that were revoked, after the backup was made are there
again: look through the list of what was removed since, if you have one.

\b
Examples:
  vouchbook restore /mnt/disk/library --library restored
  vouchbook restore bag --library postgresql://olin@host/vouchbook --media /srv/media
"""


def run(
    backup: Annotated[Path, typer.Argument(metavar="BACKUP", help="The folder of a backup, or a bag of a library.")],
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """The library, made; what a check of it found, printed."""
    from vouchbook.cli.progress import working
    from vouchbook.library.keeping.backup import restore

    with working("Copying and checking"):
        report = restore(backup, place_of(library), media=media)
    print_report(report)
