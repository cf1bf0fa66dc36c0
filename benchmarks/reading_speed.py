"""Words a second that reading takes in after it has started, on one core, and its share of the time of hearing.

usage: python benchmarks/reading_speed.py CAPTIONS_OR_FOLDER [--hearing-s SECONDS_PER_SECOND]

``--hearing-s`` is what hearing takes for a second of sound (hearing_overhead.py prints the seconds); with it, the share
of reading in the whole is printed. One core: the process is pinned where the system can do that, and numeric
libraries are told to use one thread.
"""

import argparse
import os
import time
from pathlib import Path

from machine import machine


def main() -> None:
    """Prints start, words, seconds and words a second."""
    parser = argparse.ArgumentParser(description="How fast reading is.")
    parser.add_argument("captions", type=Path)
    parser.add_argument("--hearing-s", type=float)
    arguments = parser.parse_args()
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[variable] = "1"  # read when numpy is first imported, so the import of reading comes after it
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    from vouchbook.extract.packs.load import DOMAINS
    from vouchbook.extract.run import Drafting, transcript_of

    source = arguments.captions
    files = sorted(source.glob("*.vtt")) if source.is_dir() else [source]
    transcripts = [transcript_of([path]) for path in files]
    started = time.perf_counter()
    drafting = Drafting(DOMAINS)
    drafting.draft(transcripts[0])
    start_s = time.perf_counter() - started
    words = talk_s = took_s = 0.0
    for transcript in transcripts:
        started = time.perf_counter()
        drafting.draft(transcript)
        took_s += time.perf_counter() - started
        words += len(transcript.words)
        talk_s += transcript.duration_s
    print(f"{len(files)} talks, {words:.0f} words, {talk_s:.0f} s of talk; one core; {machine()}")
    print(f"first talk, language model included: {start_s:.2f} s")
    print(
        f"after that: {took_s:.2f} s, {words / took_s:.0f} words/s, {100 * took_s / talk_s:.2f} % of the talk's length"
    )
    if arguments.hearing_s:
        share = took_s / (took_s + arguments.hearing_s * talk_s)
        print(f"share of hearing and reading together: {100 * share:.1f} %")


if __name__ == "__main__":
    main()
