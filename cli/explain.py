"""``vouchbook explain``: what made an item or a question of a stored draft."""

from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.explained_entries import entries_named
from vouchbook.cli.options import split_packs
from vouchbook.cli.plain import say_json
from vouchbook.models.errors import DocumentError, SettingError

NAME = "explain"
SUMMARY = "What made an item or question of a draft."
HELP = """Show what made ITEM of DRAFT: the words and their seconds, the rule or the tagger that found it, what was
weighed for it and against it, the names and values in its words, and what was left aside because this says the same.

DRAFT is a stored draft (.json), or its sheet (.md) with the stored draft beside it. Its own transcript is read again,
with the packs that it names; where this version of Vouchbook reads it otherwise, that is said. Without ITEM, the ids
are listed with what they stand for. A time in place of the id stands for what is said there; where that
is several, they are listed.

\b
Examples:
  vouchbook explain visit.draft.json
  vouchbook explain visit.draft.json --least-sure
  vouchbook explain visit.draft.json i12
  vouchbook explain visit.draft.json q3
  vouchbook explain visit.draft.json 12:31
  vouchbook explain visit.draft.json i12 --pack station.toml
  vouchbook explain visit.draft.json i12 --json
"""


def run(
    draft: Annotated[Path, typer.Argument(metavar="DRAFT", help="A draft that `vouchbook draft` wrote (.json).")],
    item: Annotated[
        str | None,
        typer.Argument(metavar="[ITEM]", help="The id of an item (i12) or question (q3), or a time (12:31, 751s)."),
    ] = None,
    pack: Annotated[
        list[str] | None,
        typer.Option(
            "--pack", metavar="FILE", help="Your own pack, where the draft was read with one; repeat for more."
        ),
    ] = None,
    least_sure: Annotated[
        bool,
        typer.Option(
            "--least-sure", help="Without ITEM: list the least sure items first, warnings of danger before others."
        ),
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Print the explanation as JSON.")] = False,
) -> None:
    """The explanation of one entry, printed; or all entries with their ids."""
    from vouchbook.models.draft import draft_from_json

    names, files = split_packs(pack)
    if names:
        raise SettingError(f"--pack {names[0]}: the draft itself names it. Give only files of your own.")
    if json and item is None:
        raise SettingError("--json gives one explanation. Name the ITEM, for example i1.")
    if least_sure and item is not None:
        raise SettingError("--least-sure orders the list of all items. Leave it away, or the ITEM.")
    draft = stored_of(draft)
    stored = draft_from_json(_text_of(draft), draft.name)
    there = None if item is None else entries_named(stored, item, draft.name)
    if there is None or len(there) > 1:
        from vouchbook.cli.console import console
        from vouchbook.cli.explanation import show_entries

        if json:
            raise SettingError(f"--json gives one explanation. At {item} there are {', '.join(there or ())}: name one.")
        show_entries(stored, console(), least_sure=least_sure, only=there)
        return
    (item,) = there
    from vouchbook.extract.run import explained

    explanation = explained(stored, item, draft.name, files)
    if json:
        say_json(explanation.model_dump_json(indent=1))
        return
    from vouchbook.cli.console import console
    from vouchbook.cli.explanation import show

    show(explanation, stored, console())


def stored_of(path: Path) -> Path:
    """The stored draft itself; for the sheet that people read (.md), the one beside it.

    Raises:
        DocumentError: there is none beside the sheet.
    """
    if path.suffix.lower() != ".md":
        return path
    stored = path.with_suffix(".json")
    if not stored.is_file():
        wanted = f"Give the stored draft, {stored.name}; it is not beside it"
        raise DocumentError(path.name, "the sheet to read, which does not hold what made it", wanted)
    return stored


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise DocumentError(path.name, "not UTF-8 text", "Give a stored draft (.json)") from error
    except OSError as error:
        problem = f"cannot be read ({error.strerror})"
        raise DocumentError(path.name, problem, "Check the path and who may read it") from error
