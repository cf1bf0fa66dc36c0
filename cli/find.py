"""``vouchbook find``: any sentence that was ever said or decided."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, opened
from vouchbook.models.clock import clock

if TYPE_CHECKING:
    from vouchbook.library.search.find import Found, Result

NAME = "find"
SUMMARY = "Any sentence that was ever said or decided."
HELP = """Search everything that was said on any visit and decided on any draft.

Quotes hold a phrase together, a minus in front of a word leaves it out, sizes are found in every form, and `near 10 mm`
finds those about as large. Filters: subject: maker: energy: years: kind: phase: hazard: person: place: date:
is:confirmed.

\b
Examples:
  vouchbook find orange cable
  vouchbook find "three eighths" kind:tool
  vouchbook find near 10 mm maker:halden is:confirmed
  vouchbook find --json first responder loop
"""


def run(
    words: Annotated[list[str], typer.Argument(metavar="WORD", help="What to look for.")],
    most: Annotated[int, typer.Option("--most", metavar="N", min=1, max=100, help="How many results.")] = 20,
    json: Annotated[bool, typer.Option("--json", help="Print the results as JSON.")] = False,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """The results, the best first; exit code 1 where there are none."""
    from vouchbook.library.search.find import find
    from vouchbook.library.search.query import parse

    typed = " ".join(f'"{word}"' if " " in word and ":" not in word else word for word in words)
    with opened(library, media) as kept, kept.reading() as session:
        found = find(session.connection(), parse(typed), most=most)
    if json:
        typer.echo(found.model_dump_json(indent=1))
    else:
        _print(found)
    if not found.results:
        raise typer.Exit(1)


def _print(found: "Found") -> None:
    for note in found.notes:
        typer.echo(note)
    if found.is_relaxed:
        typer.echo("Few say all of it; these also lack a word.")
    for one in found.results:
        typer.echo(f"visit {one.visit_id}, {clock(one.start_s)}  {_what(one)}")
        typer.echo(f"    {one.snippet.text}")
    if not found.results:
        typer.echo("Nobody said that.")
    elif found.may_be_more:
        typer.echo("There may be more: give another word or a filter.")


def _what(one: "Result") -> str:
    """Who said it or what kind of item it is, where it stands, and in which edition."""
    what = f"{one.item_kind}, {one.item_state}" if one.item_kind else (one.voice or "said")
    if one.edition_number is None or one.item_kind is None:
        return what
    return f"{what}, edition {one.edition_number} ({one.edition_state})"
