"""Peak memory of hearing two hours beside two minutes.

usage: python benchmarks/memory.py RECORDING [--model tiny.en] [--hours 2]

The recording is repeated to two minutes and to two hours in a WAV file in the temporary folder (2 h are 230 MB), and
each is heard in a process of its own without the cache. Memory that grew with the length would show.
"""

import argparse
import subprocess
import sys
import tempfile
import time
import wave
from pathlib import Path

import numpy as np
from machine import machine, peak_mib

from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.media import SAMPLE_RATE, blocks
from vouchbook.extract.listen.speech import hear


def main() -> None:
    """Prints seconds and peak memory of both."""
    parser = argparse.ArgumentParser(description="Memory over length.")
    parser.add_argument("recording", type=Path)
    parser.add_argument("--model", default="tiny.en")
    parser.add_argument("--hours", type=float, default=2)
    parser.add_argument("--alone", action="store_true", help="hear this one file and print its figures")
    arguments = parser.parse_args()
    if arguments.alone:
        _hear_alone(arguments.recording, arguments.model)
        return
    print(machine())
    with tempfile.TemporaryDirectory() as folder:
        for seconds in (120, int(arguments.hours * 3600)):
            path = Path(folder) / f"{seconds}.wav"
            _repeat(arguments.recording, path, seconds)
            command = [sys.executable, __file__, str(path), "--model", arguments.model, "--alone"]
            subprocess.run(command, check=True)
            path.unlink()


def _repeat(recording: Path, target: Path, seconds: int) -> None:
    left = seconds * SAMPLE_RATE
    with wave.open(str(target), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        while left > 0:
            for block in blocks(recording):
                piece = block[:left]
                file.writeframes((np.clip(piece, -1, 1) * 32767).astype("<i2").tobytes())
                left -= piece.size


def _hear_alone(recording: Path, model: str) -> None:
    started = time.perf_counter()
    transcript = hear([recording], HearingSettings(model=model, use_cache=False))
    took_s = time.perf_counter() - started
    speed = f"{took_s:.0f} s ({took_s / transcript.duration_s:.3f} s for each)"
    words = f"{len(transcript.words)} words"
    print(f"{transcript.duration_s:.0f} s of sound, {model}: {speed}, {words}, peak {peak_mib():.0f} MiB", flush=True)


if __name__ == "__main__":
    main()
