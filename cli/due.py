"""``vouchbook due``: which editions are to be verified again."""

from typing import Annotated

import typer

from vouchbook.cli.library import MediaFolder, Where, day_of, opened

NAME = "due"
SUMMARY = "Which editions are to be verified again."
HELP = """List the editions in force that are due to be verified again, the longest due first.

\b
Examples:
  vouchbook due
  vouchbook due --within 90
  vouchbook due --on 2033-01-01
"""


def run(
    within: Annotated[int, typer.Option("--within", metavar="DAYS", min=0, help="Also those due in so many days.")] = 0,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", callback=day_of("day"), help="As on another day than today.")
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
) -> None:
    """One line for each edition that is due."""
    from datetime import date

    from vouchbook.library.editions.due import due

    with opened(library, media) as kept, kept.reading() as session:
        found = due(session, date.fromisoformat(on) if on else kept.clock().date(), within)
    for one in found:
        late = f"{-one.days_left} days overdue" if one.days_left < 0 else f"in {one.days_left} days"
        edition = one.edition
        typer.echo(f"{edition.reverify_on}  {late:18}  {edition.id:4}  {edition.subject}, edition {edition.number}")
    if not found:
        typer.echo("Nothing is due.")
