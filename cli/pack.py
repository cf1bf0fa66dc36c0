"""``vouchbook pack check``: is a department's own pack right, and how does it lie over the others?"""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from vouchbook.cli.plain import say, say_json
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.extract.packs.check import PackCheck

NAME = "pack"
SUMMARY = "Check your own words before you use them."
HELP = """Check FILE, a pack of your own words (TOML), as `vouchbook draft --pack FILE` will use it.

All that is wrong is told at once, each with its line and what to do; the exit code is then 2. Warnings show where your
words meet those of the packs that come with Vouchbook: they are often meant. Several files are layers, each over the
ones before it.

\b
Examples:
  vouchbook pack check station.toml
  vouchbook pack check county.toml station.toml
  vouchbook pack check station.toml --json
"""
_MOST_NAMED = 6


class Action(StrEnum):
    """What can be done with packs."""

    CHECK = "check"


def run(
    action: Annotated[Action, typer.Argument(metavar="check", help="The one thing that can be done: check them.")],
    files: Annotated[list[Path], typer.Argument(metavar="FILE", help="Packs of your own, the lowest layer first.")],
    json: Annotated[bool, typer.Option("--json", help="Print the findings as JSON.")] = False,
) -> None:
    """The findings of each file, printed; exit code 2 when one of them is an error."""
    from vouchbook.extract.packs.check import check_files
    from vouchbook.extract.read.words import kept_words

    del action  # there is one
    for path in files:
        if files.count(path) > 1:
            raise SettingError(f"{path}: given twice. Name each file once.")
    checks = check_files(files, kept_words)
    if json:
        from json import dumps

        say_json(dumps(_as_data(checks), indent=1, ensure_ascii=False))
    else:
        for check in checks:
            say(*told(check))
    if any(check.of("error") for check in checks):
        raise typer.Exit(2)


def told(check: "PackCheck") -> Iterator[str]:
    """The lines that a person reads about one file: what was found, then what is in it."""
    for finding in check.findings:
        place = check.file if finding.line is None else f"{check.file}:{finding.line}"
        yield f"{place}: {finding.severity}: {finding.what}. {finding.remedy}."
    errors, warnings = len(check.of("error")), len(check.of("warning"))
    verdict = "cannot be used yet" if errors else "can be used"
    yield f"{check.file}: {verdict}, {_number(errors, 'error')}, {_number(warnings, 'warning')}"
    if check.kinds or check.topics:
        counts = [f"{kind} {number}" for kind, number in check.kinds.items()]
        yield f"  holds      {', '.join([*counts, *([f'topics {check.topics}'] if check.topics else [])])}"
        yield f"  speaks for {', '.join(f'{phase} {number}' for phase, number in check.phases.items()) or 'no phase'}"
        yield f"  over       {', '.join(check.layers)}"
        for heading, names in (("new", check.new), ("adds to", check.adds), ("overrides", check.overrides)):
            yield f"  {heading:10} {_some(names)}"


def _as_data(checks: "Sequence[PackCheck]") -> dict[str, Any]:
    def data(check: "PackCheck") -> dict[str, Any]:
        return {"ok": not check.of("error"), **check.model_dump(mode="json")}

    return {"ok": not any(check.of("error") for check in checks), "files": [data(check) for check in checks]}


def _number(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _some(names: Sequence[str]) -> str:
    if not names:
        return "nothing"
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return f"{len(names)}: {', '.join(names[:_MOST_NAMED])}{more}"
