"""``vouchbook demo``: the draft of a demo recording."""

from pathlib import Path
from typing import Annotated

import typer

from vouchbook.cli.options import ModelName
from vouchbook.cli.plain import say

NAME = "demo"
SUMMARY = "The draft of a demo recording."
RECORDING = "delivery-van.ogg"
SUBJECT = "battery-electric delivery van (invented)"
HELP = """Make the draft of a demo recording, an invented walk-through that comes with the repository.

\b
Examples:
  vouchbook demo
  vouchbook demo --out somewhere
"""


def run(
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the files go.")] = Path("vouchbook-demo"),
    model: ModelName = "base",
) -> None:
    """The demo recording's draft, printed and written."""
    from vouchbook.cli.draft import Order, make, present

    recording = demo_folder() / RECORDING
    say(f"Listening to {recording}, and reading what it says.", is_error=True)
    order = Order([recording], out, model, subject=SUBJECT)
    present(make(order), order)
    say("", f"The recording: {recording}", "Your own: vouchbook draft FILE")


def demo_folder() -> Path:
    """The folder ``demo_audio`` of the repository: beside this code, or in the current folder.

    Raises:
        SettingError: it is in neither place.
    """
    from vouchbook.models.errors import SettingError

    for root in (Path(__file__).resolve().parent.parent, Path.cwd()):
        folder = root / "demo_audio"
        if (folder / RECORDING).is_file():
            return folder
    raise SettingError(
        f"demo_audio/{RECORDING}: not found. It comes with the repository: run this in its folder, or `make demo`."
    )
