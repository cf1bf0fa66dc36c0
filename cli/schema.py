"""``vouchbook schema``: the JSON Schemas of the stored documents."""

from pathlib import Path
from typing import Annotated, Any

import typer

from vouchbook.cli.plain import say

NAME = "schema"
SUMMARY = "The JSON Schemas of stored documents."
DIALECT = "https://json-schema.org/draft/2020-12/schema"
HELP = """Write the JSON Schemas of drafts and transcripts to FOLDER, for programs that read them.

With --check nothing is written: the exit code is 1 when FOLDER holds something else than this version writes.

\b
Example:
  vouchbook schema docs/schema
"""


def run(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the schemas go.")],
    check: Annotated[bool, typer.Option("--check", help="Compare instead of writing.")] = False,
) -> None:
    """The schemas, written; or compared, with exit code 1 when they differ."""
    from vouchbook.cli.files import write_whole

    stale = 0
    for name, text in schemas().items():
        path = folder / name
        if not check:
            write_whole(path, text)
            say(str(path))
        elif not path.is_file() or path.read_text(encoding="utf-8") != text:
            say(f"{path}: not what this version writes. Run `vouchbook schema {folder}`.", is_error=True)
            stale += 1
    if stale:
        raise typer.Exit(1)


def schemas() -> dict[str, str]:
    """File names with the text of their schema: what a stored document holds, computed fields included."""
    import json

    from vouchbook.models.draft import Draft
    from vouchbook.models.transcript import Transcript

    found = {}
    for record in (Draft, Transcript):
        schema: dict[str, Any] = {"$schema": DIALECT, **record.model_json_schema(mode="serialization")}
        found[f"{record.__name__.lower()}.schema.json"] = json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
    return found
