"""What Vouchbook's hearing costs over bare faster-whisper: same recording, model, beam and batch, in one process.

usage: python benchmarks/hearing_overhead.py RECORDING [--model base] [--runs 3]

Decoding of the file, voice detection, recognition and word times are in both; loading the model is in neither (a
hearing loads it, so its load is timed apart and taken off). Runs take turns, so that a busy minute hits both.
"""

import argparse
import statistics
import time
from pathlib import Path

from faster_whisper import BatchedInferencePipeline, WhisperModel
from machine import machine

from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.recogniser import Recogniser
from vouchbook.extract.listen.speech import hear
from vouchbook.extract.listen.weights import find_model


def main() -> None:
    """Prints seconds of both and their ratio."""
    parser = argparse.ArgumentParser(description="Vouchbook's hearing beside bare faster-whisper.")
    parser.add_argument("recording", type=Path)
    parser.add_argument("--model", default="base")
    parser.add_argument("--runs", type=int, default=3)
    arguments = parser.parse_args()
    settings = HearingSettings(model=arguments.model, use_cache=False, device="cpu")
    model = find_model(arguments.model)
    load_s = _seconds(lambda: Recogniser(model, settings))
    bare = WhisperModel(str(model.folder), device="cpu", compute_type="int8", local_files_only=True)
    pipeline = BatchedInferencePipeline(bare)

    def hear_bare() -> int:
        segments, _ = pipeline.transcribe(
            str(arguments.recording),
            language=settings.language,
            beam_size=settings.beam_size,
            batch_size=settings.batch_size,
            temperature=0.0,
            word_timestamps=True,
        )
        return sum(len(segment.words or []) for segment in segments)

    ours_s: list[float] = []
    bare_s: list[float] = []
    bare_words, words, heard_s = 0, 0, 0.0
    for run in range(arguments.runs + 1):  # the first round warms both up and is not counted
        started = time.perf_counter()
        bare_words = hear_bare()
        bare_took_s = time.perf_counter() - started
        started = time.perf_counter()
        transcript = hear([arguments.recording], settings)
        ours_took_s = time.perf_counter() - started - load_s
        words, heard_s = len(transcript.words), transcript.duration_s
        if run:
            bare_s.append(bare_took_s)
            ours_s.append(ours_took_s)
            ratio = ours_took_s / bare_took_s
            print(f"run {run}: Vouchbook {ours_took_s:.2f} s, bare {bare_took_s:.2f} s, ratio {ratio:.2f}")
    ratios = [ours / other for ours, other in zip(ours_s, bare_s, strict=True)]
    print(f"{arguments.recording.name}, {heard_s:.0f} s of sound, {arguments.model}; {machine()}")
    print(f"words: Vouchbook {words}, bare {bare_words}; model load taken off: {load_s:.2f} s")
    print(f"median ratio {statistics.median(ratios):.2f} (from {min(ratios):.2f} to {max(ratios):.2f})")


def _seconds(call: object) -> float:
    """Seconds of the second call: the first one reads the file from the disk."""
    assert callable(call)
    call()
    started = time.perf_counter()
    call()
    return time.perf_counter() - started


if __name__ == "__main__":
    main()
