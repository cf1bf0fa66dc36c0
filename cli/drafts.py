"""``vouchbook drafts``: a draft for each captions file of a folder."""

from itertools import pairwise
from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.files import check_folder, write_whole
from vouchbook.cli.options import Packs, split_packs
from vouchbook.cli.plain import say

NAME = "drafts"
SUMMARY = "A draft for every captions file of a folder."
ENDINGS = (".vtt", ".srt")
HELP = """Make the draft of every captions file (.vtt, .srt) in FOLDER: NAME.vtt gives DIR/NAME.json.
Without --out, DIR is the folder "drafts" inside FOLDER.

Files that cannot be used are named on standard error, the others are done; the exit code is then 1.

\b
Examples:
  vouchbook drafts transcripts
  vouchbook drafts transcripts --out drafts
"""


def run(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder that holds the captions.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Where the drafts go; without it, FOLDER/drafts.")
    ] = None,
    pack: Packs = None,
) -> None:
    """One draft for each captions file, written; exit code 1 when a file could not be used."""
    from vouchbook.cli.progress import stoppable
    from vouchbook.cli.view import summary
    from vouchbook.extract.run import Drafting, transcript_of
    from vouchbook.models.errors import InputError

    drafting = Drafting(*split_packs(pack))
    sources = captions_in(folder)
    out = out or folder / "drafts"
    check_folder(sources[0], out)
    failed = 0
    with stoppable():
        for path in sources:
            try:
                transcript = transcript_of([path])
            except InputError as error:
                say(str(error), is_error=True)
                failed += 1
                continue
            draft = drafting.draft(transcript)
            target = out / f"{path.stem}.json"
            write_whole(target, draft.to_json())
            say(f"{target}: {summary(draft)}")
    if failed:
        raise typer.Exit(1)


def captions_in(folder: Path) -> list[Path]:
    """The captions files of ``folder``, by name.

    Raises:
        SettingError: no such folder, none in it, or two that would give the same draft.
    """
    from vouchbook.models.errors import SettingError

    if not folder.is_dir():
        raise SettingError(f"{folder}: no such folder. Give the folder that holds the captions.")
    found = sorted(path for path in folder.iterdir() if path.suffix.lower() in ENDINGS and path.is_file())
    if not found:
        raise SettingError(f"{folder}: no captions ({', '.join(ENDINGS)}) in it. Give the folder that holds them.")
    for one, other in pairwise(found):
        if one.stem == other.stem:
            message = f"{folder}: {one.name} and {other.name} would give the same draft. Rename or move one of them."
            raise SettingError(message)
    return found
