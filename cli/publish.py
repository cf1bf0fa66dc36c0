"""``vouchbook publish``: from a decided draft to an edition; also shows and withdraws editions."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say
from vouchbook.cli.sure import Sure, ask_if_sure
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library

NAME = "publish"
SUMMARY = "From a decided draft to an edition."
HELP = """Publish DRAFT as the next edition of its machine; without DRAFT, list the editions.

Everything must be decided. A warning of the edition before that this one has no more must be borrowed, rejected by two
people, or let go by its key. What else the new edition would have no more is listed, and asked about; in a pipe it
needs --yes. What is published never changes: it can only be withdrawn, with a reason.

\b
Examples:
  vouchbook publish
  vouchbook publish 31 --as alva
  vouchbook publish 31 --let-go i7 --as alva
  vouchbook publish --show 12
  vouchbook publish --withdraw 12 --reason "the plug moved to the left side" --as alva
"""


def run(
    draft: Annotated[int | None, typer.Argument(metavar="[DRAFT]", help="Its number.")] = None,
    let_go: Annotated[
        list[str] | None, typer.Option("--let-go", metavar="KEY", help="A warning of the edition before; repeat.")
    ] = None,
    show: Annotated[int | None, typer.Option("--show", metavar="EDITION", help="Print an edition.")] = None,
    withdraw: Annotated[int | None, typer.Option("--withdraw", metavar="EDITION", help="Withdraw an edition.")] = None,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why it is withdrawn.")] = "",
    yes: Sure = False,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The new edition and what it changed; or editions listed, shown or withdrawn."""
    if sum(one is not None for one in (draft, show, withdraw)) > 1:
        raise SettingError("publish: DRAFT, --show and --withdraw are three things. Give one of them.")
    with opened(library, media) as kept:
        if draft is not None:
            _publish(kept, login, draft, let_go or [], is_sure=yes)
        elif withdraw is not None:
            _withdraw(kept, login, withdraw, reason)
        elif show is not None:
            _show(kept, show)
        else:
            _list(kept)


def _publish(library: "Library", login: str | None, draft: int, let_go: list[str], *, is_sure: bool) -> None:
    from vouchbook.library.editions.publish import gone_if_published, publish
    from vouchbook.library.editions.statements import difference_lines, headed

    actor = acting(library, login)
    with library.reading() as session:
        gone = gone_if_published(session, draft)
    if gone:
        say("The edition in force has these, the new one will not:")
        for item in gone:
            say(f"  gone   {item.key}  {headed(item.kind, item.as_vouched)}")
        ask_if_sure("publish", (), is_sure=is_sure)
    with library.work(actor) as work:
        done = publish(work, draft, let_go)
    edition = done.edition
    say(f"Edition {edition.number} of {edition.subject} is published as {done.edition_id}.")
    say(f"{len(edition.items)} items, to be verified again by {edition.reverify_on}.")
    say(f"SHA-256 {done.content_sha256}")
    if edition.one_person_note:
        say(edition.one_person_note)
    if done.difference is not None:
        say(f"Against edition {edition.replaces}, which it replaces:")
        for line in difference_lines(done.difference):
            say(f"  {line}")


def _withdraw(library: "Library", login: str | None, edition: int, reason: str) -> None:
    from vouchbook.library.editions.withdraw import withdraw

    with library.work(acting(library, login)) as work:
        done = withdraw(work, edition, reason)
    say(f"Edition {done.edition.number} of {done.edition.subject} is withdrawn: {done.edition.withdrawn_reason}")
    if done.in_force_again is not None:
        say(f"Edition {done.in_force_again.number} ({done.in_force_again.id}) is in force again.")


def _show(library: "Library", edition: int) -> None:
    from vouchbook.library.editions.shelf import edition_of, shelved
    from vouchbook.library.editions.statements import edition_lines

    with library.reading() as session:
        said, listed = edition_of(session, edition), shelved(session, edition)
    if listed.state != "in force":
        say(f"{listed.state.upper()}{f': {listed.withdrawn_reason}' if listed.withdrawn_reason else ''}", "")
    for line in edition_lines(said, listed.verified):
        say(line)


def _list(library: "Library") -> None:
    from vouchbook.library.editions.shelf import shelf
    from vouchbook.library.editions.statements import listed_line

    with library.reading() as session:
        listed = shelf(session)
    for one in listed:
        why = f": {one.withdrawn_reason}" if one.withdrawn_reason else ""
        say(f"{one.id:4}  {one.published_at:%Y-%m-%d}  {listed_line(one)}  {one.state}{why}")
    if not listed:
        typer.echo("Nothing is published yet.")
