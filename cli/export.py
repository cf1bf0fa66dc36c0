"""``vouchbook export``: one visit, or the whole library, as a bag."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say

if TYPE_CHECKING:
    from vouchbook.library.open import Library

NAME = "export"
SUMMARY = "One visit, or the whole library, as a BagIt bag."
HELP = """Write a bag (BagIt, RFC 8493): a folder of files with their SHA-256, that any archive can verify and keep.

With --visit it holds one visit: media, drafts, decisions, editions, and the journal's entries about it; no passwords,
and nothing that is hidden or was removed. Without, it holds everything, password hashes too: keep it like a key.
The key of a visit is the same in every library; `vouchbook consent list VISIT` shows it. Whoever may read the files of
a library may copy them, so that a whole one goes without signing in; over HTTP, where only the server reads them, it
takes an administrator.
`vouchbook import` takes either; a whole library goes from a folder to PostgreSQL and back that way.

\b
Examples:
  vouchbook export --visit 1 bag --as alva
  vouchbook export --visit 0f5c6f0e-2a8e-4f57-9a35-0f7a3d6a1b11 bag --as alva
  vouchbook export bag
"""


def run(
    bag: Annotated[Path, typer.Argument(metavar="BAG", help="The folder of the bag, which is not there yet.")],
    visit: Annotated[
        str | None, typer.Option("--visit", metavar="VISIT|KEY", help="Only this visit, by number or key.")
    ] = None,
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
        key = _key(kept, visit)
        with working("Copying"):
            about = export_visit(kept, actor, key, bag)
        say(f"{bag}: visit {about.key}.")


def _key(library: "Library", visit: str) -> str:
    """The key of the visit of that number; what is no number is a key."""
    from vouchbook.library.actor import found
    from vouchbook.library.store.tables import VisitRow

    if not (visit.isdecimal() and visit.isascii() and visit[0] != "0" and len(visit) < 19):
        return visit
    with library.reading() as session:
        return found(session, VisitRow, int(visit), "visit").key
