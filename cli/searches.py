"""Searches that a person keeps: each sees and changes their own alone."""

from typing import TYPE_CHECKING

import typer

from vouchbook.cli.plain import say

if TYPE_CHECKING:
    from vouchbook.library.open import Library
    from vouchbook.library.search.saved import SavedSearch
    from vouchbook.models.people import Actor


def save(library: "Library", actor: "Actor", name: str, typed: str) -> None:
    """Keeps a search, over one of the same name; says so beside the results.

    Raises:
        SettingError: the name cannot be, or the search is longer than is read.
    """
    from vouchbook.library.search.query import LONGEST_QUERY
    from vouchbook.library.search.saved import SavedSearch, save_search
    from vouchbook.models.errors import SettingError

    if len(typed) > LONGEST_QUERY:
        raise SettingError(f"find: no more than {LONGEST_QUERY} characters are read. Look for fewer words.")
    with library.work(actor) as work:
        save_search(work.session.connection(), work.person_id(), SavedSearch(name=name, typed=typed), work.at)
    say(f"Kept as {name!r}.", is_error=True)


def kept(library: "Library", actor: "Actor", name: str) -> "SavedSearch":
    """The search of that name.

    Raises:
        NotFoundError: this person keeps none of that name.
    """
    for one in _all(library, actor):
        if one.name == name:
            return one
    raise _unknown(name)


def print_all(library: "Library", actor: "Actor") -> None:
    """A line for each, by name: what was typed, and the filters set beside it."""
    found = _all(library, actor)
    for one in found:
        beside = one.filters.model_dump(mode="json", exclude_defaults=True)
        told = [one.typed, *(f"{field.removeprefix('is_').replace('_', ' ')}: {beside[field]}" for field in beside)]
        say(f"{one.name:16} {', '.join(part for part in told if part)}")
    if not found:
        typer.echo("No search is kept.")


def forget(library: "Library", actor: "Actor", name: str) -> None:
    """Forgets the search of that name.

    Raises:
        NotFoundError: this person keeps none of that name.
    """
    from vouchbook.library.search.saved import forget_search

    with library.work(actor) as work:
        if not forget_search(work.session.connection(), work.person_id(), name):
            raise _unknown(name)
    say(f"Forgotten: {name!r}")


def _all(library: "Library", actor: "Actor") -> "tuple[SavedSearch, ...]":
    from vouchbook.library.search.saved import saved_searches

    with library.reading() as session:
        return saved_searches(session.connection(), actor.person or 0)


def _unknown(name: str) -> Exception:
    from vouchbook.models.errors import NotFoundError

    return NotFoundError(f"search {name[:80]!r}", "you keep none of that name", "Look at `vouchbook find --list-saved`")
