"""``vouchbook diff``: what an edition changed, or what a draft says otherwise than the library."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

NAME = "diff"
SUMMARY = "What an edition changed, or what a draft says otherwise."
HELP = """Show what changed from the edition OLD to NEW, items matched; with NEW alone, from the one that it replaced.

With --draft, show where a draft contradicts the editions in force of the same and related machines, and what they know
that this talk did not mention. Taken out stands in [brackets], put in in {braces}.

\b
Examples:
  vouchbook diff 12
  vouchbook diff 9 12
  vouchbook diff --draft 31
"""


def run(
    editions: Annotated[
        list[int] | None, typer.Argument(metavar="[OLD] NEW", help="Numbers as `vouchbook publish` lists them.")
    ] = None,
    draft: Annotated[int | None, typer.Option("--draft", metavar="NUMBER", help="A draft instead of editions.")] = None,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """The differences, one a line."""
    given = editions or []
    if (draft is None) == (not given) or len(given) > 2:
        raise SettingError("diff: give one edition, two editions, or --draft NUMBER.")
    with opened(library, media) as kept, kept.reading() as session:
        for line in _findings(session, draft) if draft is not None else _differences(session, given):
            say(line)


def _differences(session: "Session", given: list[int]) -> list[str]:
    from vouchbook.library.editions.difference import difference
    from vouchbook.library.editions.shelf import edition_of, shelf, shelved
    from vouchbook.library.editions.statements import difference_lines

    new = edition_of(session, given[-1])
    if len(given) == 1:
        before = shelved(session, given[0]).replaces
        older = [one.id for one in shelf(session) if (one.subject, one.number) == (new.subject, before)]
        if not older:
            return [f"Edition {given[0]} is the first of {new.subject}."]
        given = [older[0], given[0]]
    old = edition_of(session, given[0])
    head = f"{old.subject}, edition {old.number} -> {new.subject}, edition {new.number}"
    return [head, *difference_lines(difference(old.items, new.items))]


def _findings(session: "Session", draft: int) -> list[str]:
    from vouchbook.library.known.stored import findings

    found = findings(session, draft)
    return [f"{one.what}: {one.sentence}" for one in found] or ["Nothing stands against what is known."]
