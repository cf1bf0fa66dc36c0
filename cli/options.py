"""The options that several commands share, written once. Light to import: ``vouchbook --help`` reads it."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.plain import say

if TYPE_CHECKING:
    from vouchbook.extract.listen.hearing_settings import HearingSettings

Files = Annotated[
    list[Path],
    typer.Argument(metavar="FILE", help="Recordings, or captions (.vtt .srt .txt .json), of one visit, in order."),
]
Recordings = Annotated[
    list[Path], typer.Argument(metavar="FILE", help="Recordings of one visit, in the order in which they were made.")
]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="FOLDER", help="Write there instead of beside the first file.")
]
ModelName = Annotated[
    str, typer.Option("--model", metavar="NAME", help="Speech model: base, tiny.en (faster), or a CTranslate2 folder.")
]
Voices = Annotated[
    int | None,
    typer.Option("--voices", metavar="N", min=1, max=8, help="How many people speak; tells their words apart."),
]
Hotwords = Annotated[
    list[str] | None,
    typer.Option(
        "--hotword",
        metavar="WORD",
        help="A word that the recogniser should expect; repeat for more. It hears this word more readily, also where "
        "nobody said it: listen again to values that rest on it.",
    ),
]
Packs = Annotated[
    list[str] | None,
    typer.Option(
        "--pack",
        metavar="NAME|FILE",
        help="Vocabulary: road_vehicles, building_energy, lifting_industrial, or your own TOML file; repeat for more. "
        "Without it, the talk decides.",
    ),
]


def hearing_settings(model: str, hotwords: Sequence[str] | None) -> "HearingSettings":
    """The settings of the recogniser that the options ask for; hotwords are shown, since they change what is heard."""
    from vouchbook.extract.listen.hearing_settings import HearingSettings

    words = tuple(word.strip() for word in hotwords or () if word.strip())
    if words:
        say(f"Hotwords: {', '.join(words)}. They may be heard where nobody said them.", is_error=True)
    return HearingSettings(model=model, hotwords=words)


def split_packs(packs: Sequence[str] | None) -> tuple[list[str], list[Path]]:
    """Names of packs that come with Vouchbook, and files: what ends in .toml or has a folder in it."""
    files = [pack for pack in packs or () if pack.lower().endswith(".toml") or Path(pack).name != pack]
    return [pack for pack in packs or () if pack not in files], [Path(file) for file in files]
