"""``vouchbook find``: any sentence that was ever said or decided."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli import searches
from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say, say_json
from vouchbook.models.clock import clock
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library
    from vouchbook.library.search.find import Found, Result
    from vouchbook.library.search.query import Query

NAME = "find"
SUMMARY = "Any sentence that was ever said or decided."
HELP = """Search everything that was said on any visit and decided on any draft.

Quotes hold a phrase together, a minus in front of a word leaves it out, sizes are found in every form, and `near 10 mm`
finds those about as large. Filters: subject: maker: energy: years: kind: phase: hazard: person: place: date:
is:confirmed. A search may be kept under a name; each person has their own. --meaning also finds what says the same in
other words, where the sentence model is installed and `vouchbook library learn` has read the sentences.

\b
Examples:
  vouchbook find orange cable
  vouchbook find "three eighths" kind:tool
  vouchbook find -orange cable
  vouchbook find near 10 mm maker:halden is:confirmed
  vouchbook find --meaning how do I keep it from rolling away
  vouchbook find --json first responder loop
  vouchbook find "service plug" kind:location --save plugs --as runa
  vouchbook find --saved plugs --as runa
  vouchbook find --list-saved --as runa
  vouchbook find --forget plugs --as runa
"""


SETTINGS = {"ignore_unknown_options": True, "help_option_names": ["--help"]}
"""A minus in front of a word leaves it out, so that one minus begins no option: -hood is not -h and more."""


def run(
    context: typer.Context,
    words: Annotated[list[str] | None, typer.Argument(metavar="WORD", help="What to look for.")] = None,
    most: Annotated[int, typer.Option("--most", metavar="N", min=1, max=100, help="How many results.")] = 20,
    json: Annotated[bool, typer.Option("--json", help="Print the results as JSON.")] = False,
    meaning: Annotated[bool, typer.Option("--meaning", help="Also what is near in meaning.")] = False,
    save: Annotated[str | None, typer.Option("--save", metavar="NAME", help="Keep this search for yourself.")] = None,
    saved: Annotated[str | None, typer.Option("--saved", metavar="NAME", help="Search as you kept it.")] = None,
    list_saved: Annotated[bool, typer.Option("--list-saved", help="List the searches that you keep.")] = False,
    forget: Annotated[
        str | None, typer.Option("--forget", metavar="NAME", help="Forget a search that you keep.")
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The results, the best first; exit code 1 where there are none."""
    if words == ["-h"]:
        say(*context.get_help().splitlines())
        return
    for word in words or []:
        if word.startswith("--"):
            raise SettingError(f"find: there is no option {word}. Look at `vouchbook find --help`.")
    if sum((bool(words), saved is not None, list_saved, forget is not None)) != 1:
        raise SettingError("find: give words to look for, or one of --saved, --list-saved and --forget.")
    if save is not None and not words:
        raise SettingError("find: --save keeps the words that are looked for. Give them.")
    with opened(library, media) as kept:
        if list_saved:
            searches.print_all(kept, acting(kept, login))
        elif forget is not None:
            searches.forget(kept, acting(kept, login), forget)
        elif saved is not None:
            _find(kept, searches.kept(kept, acting(kept, login), saved).query, most, as_json=json, by_meaning=meaning)
        else:
            typed = " ".join(_typed(word) for word in words or [])
            if save is not None:
                searches.save(kept, acting(kept, login), save, typed)
            from vouchbook.library.search.query import parse

            _find(kept, parse(typed), most, as_json=json, by_meaning=meaning)


def _typed(word: str) -> str:
    """A word of the command as it is typed into a search: the shell took the quotes of a phrase away."""
    if " " not in word or ":" in word:
        return word
    return f'-"{word[1:]}"' if word.startswith("-") else f'"{word}"'


def _find(library: "Library", query: "Query", most: int, *, as_json: bool, by_meaning: bool) -> None:
    found = _near(library, query, most) if by_meaning else _said(library, query, most)
    if as_json:
        say_json(found.model_dump_json(indent=1))
    else:
        _print(found)
    if not found.results:
        raise typer.Exit(1)


def _said(library: "Library", query: "Query", most: int) -> "Found":
    from vouchbook.library.search.find import find

    with library.reading() as session:
        return find(session.connection(), query, most=most)


def _near(library: "Library", query: "Query", most: int) -> "Found":
    from vouchbook.library.search.encoder import load_encoder
    from vouchbook.library.search.near import find_by_meaning

    encoder = load_encoder()
    with library.reading() as session:
        return find_by_meaning(session.connection(), encoder, query, most=most)


def _print(found: "Found") -> None:
    for note in found.notes:
        say(note)
    if found.is_relaxed:
        typer.echo("Few say all of it; these also lack a word.")
    for one in found.results:
        say(f"visit {one.visit_id}, {one.subject}, {clock(one.start_s)}  {_what(one)}")
        say(f"    {one.snippet.text}")
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
