"""``vouchbook export``: one visit, or the whole library, as a bag."""

from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say

NAME = "export"
SUMMARY = "One visit, or the whole library, as a BagIt bag."
HELP = """Write a bag (BagIt, RFC 8493): a folder of files with their SHA-256, that any archive can verify and keep.

With --visit it holds one visit: media, drafts, decisions, editions, and the journal's entries about it; no passwords,
and nothing that is hidden or was removed. Without, it holds everything, password hashes too: keep it like a key.
`vouchbook import` takes either; a whole library goes from a folder to PostgreSQL and back that way.

\b
Examples:
  vouchbook export --visit 0f5c6f0e-2a8e-4f57-9a35-0f7a3d6a1b11 bag --as alva
  vouchbook export bag
"""


def run(
    bag: Annotated[Path, typer.Argument(metavar="BAG", help="The folder of the bag, which is not there yet.")],
    visit: Annotated[str | None, typer.Option("--visit", metavar="KEY", help="Only this visit.")] = None,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The bag, written."""
    from vouchbook.cli.progress import working

    with opened(library, media) as kept:
        if visit is None:
            from vouchbook.library.keeping.whole import export_library

            with working("Copying"):
                end = export_library(kept, bag)
            say(f"{bag}: the whole library.")
            say(str(end))
            return
        from vouchbook.library.keeping.visit_bag import export_visit

        actor = acting(kept, login)
        with working("Copying"):
            about = export_visit(kept, actor, visit, bag)
        say(f"{bag}: visit {about.key}.")
