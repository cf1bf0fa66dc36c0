"""``vouchbook backup``: a copy of the library, made while people work."""

from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, opened
from vouchbook.cli.plain import say

NAME = "backup"
SUMMARY = "A copy of the library, made while people work."
HELP = """Copy the library, as it is at one moment, into FOLDER; each medium is read and compared on the way.

Again into the same folder it takes the place of the one before, without what was removed since; a whole backup is there
at any moment. That of a library in PostgreSQL is a bag and is written anew each time: there must be room for two.
Whoever may read the files of a library may copy them, so that this goes without signing in; over HTTP, where only the
server reads them, it takes an administrator. A
backup holds names, recordings and password hashes: keep it like a key. The line that is printed last is the head of the
journal: keep it elsewhere.

\b
Examples:
  vouchbook backup /mnt/disk/library
  vouchbook backup --link ../snapshot
"""


def run(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the backup goes.")],
    link: Annotated[
        bool,
        typer.Option("--link", help="On the same disk: media under another name, not copied. No help if it fails."),
    ] = False,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """The backup, made; what was copied and the journal's head, printed."""
    from vouchbook.cli.progress import working
    from vouchbook.library.keeping.backup import back_up

    with opened(library, media) as kept, working("Copying"):
        done = back_up(kept, folder, links=link)
    say(f"{folder}: {done.copied} media copied, {done.were_there} were there.")
    say(str(done.head))
