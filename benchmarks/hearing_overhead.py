"""What Vouchbook's hearing costs over bare faster-whisper: same recording, model, threads, beam and batch, one process.

usage: python benchmarks/hearing_overhead.py RECORDING [--model base] [--runs 3]

Decoding of the file, voice detection, recognition and word times are in both; loading the model is in neither (a
hearing loads it, so its load is timed apart and taken off). Runs take turns, so that a busy minute hits both. Processor
seconds of the process are printed beside those of the clock: other work on the machine moves them less.
"""

import argparse
import os
import statistics
import time
from collections.abc import Callable
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
    threads = os.cpu_count() or 1
    bare = WhisperModel(
        str(model.folder), device="cpu", compute_type="int8", cpu_threads=threads, local_files_only=True
    )
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

    def hear_ours() -> int:
        return len(hear([arguments.recording], settings).words)

    words = hear_ours(), hear_bare()  # warms both up
    load = _seconds(lambda: Recogniser(model, settings))
    clock: list[float] = []
    processor: list[float] = []
    for run in range(1, arguments.runs + 1):
        ours, other = _seconds(hear_ours), _seconds(hear_bare)
        ours = ours[0] - load[0], ours[1] - load[1]
        clock.append(ours[0] / other[0])
        processor.append(ours[1] / other[1])
        print(f"run {run}: clock {ours[0]:.1f} s, bare {other[0]:.1f} s, ratio {clock[-1]:.2f}; ", end="")
        print(f"processor {ours[1]:.1f} s, bare {other[1]:.1f} s, ratio {processor[-1]:.2f}")
    print(f"{arguments.recording.name}, {arguments.model}; {machine()}")
    print(f"words: Vouchbook {words[0]}, bare {words[1]}; model load taken off: {load[0]:.1f} s")
    print(f"median ratio: clock {statistics.median(clock):.2f}, processor {statistics.median(processor):.2f}")


def _seconds(call: Callable[[], object]) -> tuple[float, float]:
    """Seconds of the clock and of the processor, all threads together."""
    started, used = time.perf_counter(), time.process_time()
    call()
    return time.perf_counter() - started, time.process_time() - used


if __name__ == "__main__":
    main()
