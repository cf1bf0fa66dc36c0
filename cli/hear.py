"""``vouchbook hear``: recordings to timed text."""

from enum import StrEnum
from typing import Annotated

import typer

from vouchbook.cli.files import check_folder, output_path, write_whole
from vouchbook.cli.options import Hotwords, ModelName, Out, Recordings, Voices, hearing_settings
from vouchbook.cli.plain import hand_on, say

NAME = "hear"
SUMMARY = "Recordings to timed text."
HELP = """Write down what is said: NAME.heard.vtt, .srt, .txt and .json beside the first file.

The names hold "heard" so that captions that a person has made are never overwritten. Stretches in which somebody may
have spoken and nothing was understood are listed: listen to them yourself.

\b
Examples:
  vouchbook hear visit.mp4
  vouchbook hear visit.wav --format vtt --format txt --out texts
  vouchbook hear visit.wav --format txt --stdout | less
"""


class Format(StrEnum):
    """The formats that hearing writes."""

    VTT = "vtt"
    SRT = "srt"
    TXT = "txt"
    JSON = "json"


def run(
    files: Recordings,
    format_: Annotated[
        list[Format] | None, typer.Option("--format", help="Write only this format; repeat for more.")
    ] = None,
    stdout: Annotated[
        bool, typer.Option("--stdout", help="Print on standard output, and write no files; needs one --format.")
    ] = False,
    out: Out = None,
    model: ModelName = "base",
    voices: Voices = None,
    hotword: Hotwords = None,
) -> None:
    """The transcript of recordings, written in each format, or printed in one."""
    from vouchbook.cli.phrases import place_in
    from vouchbook.cli.progress import progress_of
    from vouchbook.extract.listen.captions.registry import write_captions
    from vouchbook.extract.run import is_captions, transcript_of
    from vouchbook.models.errors import SettingError

    formats = format_ or list(Format)
    if stdout and len(formats) != 1:
        raise SettingError("--stdout prints one format. Name it, for example --format vtt.")
    for path in files:
        if is_captions(path):
            raise SettingError(f"{path.name} is captions, there is nothing to hear. Use `vouchbook draft {path.name}`.")
    if not stdout:
        check_folder(files[0], out)
    with progress_of("Listening") as on_progress:
        transcript = transcript_of(files, hearing_settings(model, hotword), voices, on_progress)
    for note in transcript.notes:
        say(f"Note: {note}", is_error=True)
    for stretch in transcript.unheard:
        span = f"{place_in(transcript, stretch.start_s)} to {place_in(transcript, stretch.end_s)}"
        say(f"Not understood: {span} ({stretch.reason}), listen to it yourself.", is_error=True)
    for chosen in formats:
        text = write_captions(transcript, chosen)
        if stdout:
            hand_on(text)
        else:
            path = output_path(files[0], out, f".heard.{chosen}")
            write_whole(path, text)
            say(str(path))
