"""``vouchbook import``: a visit, or a whole library, from a bag."""

from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say

NAME = "import"
SUMMARY = "A visit, or a whole library, from a bag."
HELP = """Verify BAG, every file of it, and take in what it holds. The same bag again changes nothing.

A visit comes with its decisions and editions; people of another library come as names that cannot sign in here. A whole
library goes into a library that is empty or not there yet. A bag that is damaged, incomplete or not ours is refused.

\b
Examples:
  vouchbook import bag --as alva
  vouchbook import bag --library postgresql://olin@host/vouchbook --media /srv/media
"""


def run(
    bag: Annotated[Path, typer.Argument(metavar="BAG", help="The folder of the bag.")],
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """What the bag holds, taken in."""
    from vouchbook.cli.progress import working
    from vouchbook.library.keeping.unbag import verified
    from vouchbook.library.keeping.whole import import_library, is_whole

    with working("Verifying"):
        found = verified(bag)
    with opened(library, media, may_make=is_whole(found)) as kept:
        if is_whole(found):
            with working("Taking in"):
                done = import_library(kept, found)
            told = f"{done.rows} rows and {done.media} media" if done.is_new else "all of it was there, nothing changed"
            say(f"{bag}: {told}.")
            return
        from vouchbook.library.keeping.arrivals import import_visit

        actor = acting(kept, login)
        with working("Taking in"):
            arrived = import_visit(kept, actor, found)
        say(f"{bag}: visit {arrived.key}{'' if arrived.is_new else ' was there, nothing changed'}.")
