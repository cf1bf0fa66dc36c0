"""``vouchbook draft``: recordings or captions of one visit to a draft."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.files import check_folder, output_path, write_whole
from vouchbook.cli.options import Files, Hotwords, ModelName, Out, Packs, Voices, hearing_settings, split_packs
from vouchbook.cli.plain import say, say_json
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.models.draft import Draft

NAME = "draft"
SUMMARY = "Recordings or captions of one visit to a draft."
HELP = """Make the draft of one visit: NAME.draft.json and NAME.draft.md beside the first file, and on the screen.

Several files are one visit, in the order in which they are named. A draft that is there already is replaced. Stopped
in the middle, the same command goes on where it was.

\b
Examples:
  vouchbook draft visit.mp4
  vouchbook draft monday-1.m4a monday-2.m4a --voices 2 --subject "electric refuse truck"
  vouchbook draft captions.vtt --out drafts
  vouchbook draft visit.wav --json > visit.json
"""


@dataclass(frozen=True)
class Order:
    """What to make a draft of, and how."""

    files: list[Path]
    out: Path | None = None
    model: str = "base"
    voices: int | None = None
    hotwords: list[str] = field(default_factory=list)
    packs: list[str] = field(default_factory=list)
    subject: str = ""
    stills: bool = True


def run(
    files: Files,
    out: Out = None,
    model: ModelName = "base",
    voices: Voices = None,
    hotword: Hotwords = None,
    pack: Packs = None,
    subject: Annotated[str, typer.Option(metavar="TEXT", help="What the visit is about, for the title.")] = "",
    stills: Annotated[
        bool, typer.Option(help="For films: pictures at steps and at what was only shown, in NAME.stills.")
    ] = True,
    json: Annotated[
        bool, typer.Option("--json", help="Print the stored draft on standard output, and write no files.")
    ] = False,
) -> None:
    """The draft of one visit, written and printed, or printed as JSON alone."""
    order = Order(files, out, model, voices, hotword or [], pack or [], subject, stills)
    if json and out is not None:
        raise SettingError("--json prints the draft and writes no files. Leave --out away, or --json.")
    if not json:
        check_folder(files[0], out)
    draft = make(order)
    if json:
        say_json(draft.to_json())
    else:
        present(draft, order)


def make(order: Order) -> "Draft":
    """The draft of the visit, with progress on a terminal.

    Raises:
        VouchbookError: a file, option or model that cannot be used.
    """
    from vouchbook.cli.progress import progress_of, working
    from vouchbook.extract.run import Drafting, is_captions, transcript_of

    names, pack_files = split_packs(order.packs)
    if order.hotwords and is_captions(order.files[0]):
        raise SettingError(f"{order.files[0].name} is captions: they are read, not heard. Leave --hotword away.")
    drafting = Drafting(names, pack_files)
    settings = hearing_settings(order.model, order.hotwords)
    with progress_of("Listening") as on_progress:
        transcript = transcript_of(order.files, settings, order.voices, on_progress)
    with working("Reading the talk"):
        return drafting.draft(transcript, order.subject)


def present(draft: "Draft", order: Order) -> None:
    """Write the draft's files, print it as a person wants to read it, and say where the files are.

    Raises:
        SettingError: the files cannot be written.
    """
    from vouchbook.cli.console import console
    from vouchbook.cli.sheet import markdown
    from vouchbook.cli.view import show
    from vouchbook.models.draft import Picture

    stored = output_path(order.files[0], order.out, ".draft.json")
    sheet = output_path(order.files[0], order.out, ".draft.md")
    stills = _stills(draft, order) if order.stills else {}
    pictures = tuple(
        Picture(shows=entry, file=path.relative_to(sheet.parent).as_posix()) for entry, path in stills.items()
    )
    draft = draft.model_copy(update={"pictures": pictures})
    write_whole(stored, draft.to_json())
    write_whole(sheet, markdown(draft))
    show(draft, console())
    say("", "Written:")
    for path in (stored, sheet, *sorted({still.parent for still in stills.values()})):
        say(f"  {path}")


def _stills(draft: "Draft", order: Order) -> dict[str, Path]:
    """The film's pictures by the id of what they show; a film whose pictures cannot be used still gives its draft."""
    from vouchbook.cli.progress import progress_of
    from vouchbook.extract.run import stills_of
    from vouchbook.models.errors import MediaError

    try:
        with progress_of("Looking") as on_progress:
            return stills_of(draft, order.files, output_path(order.files[0], order.out, ".stills"), on_progress)
    except MediaError as error:
        say(f"No pictures: {error}", is_error=True)
        return {}
