"""Peak memory of reading one long talk, in a process of its own.

usage: python benchmarks/reading_memory.py CAPTIONS_OR_FOLDER [--words 9000]

The talks of the folder are joined in the order of their names until they hold so many words; 9,000 are about an hour of
talk. All packs are loaded, and the language model and the tagger count too: the figure is that of the whole process.
"""

import argparse
import subprocess
import sys
from pathlib import Path

from machine import machine, peak_mib

from vouchbook.extract.packs.load import DOMAINS
from vouchbook.extract.run import Drafting, joined, transcript_of
from vouchbook.models.transcript import Transcript

LIMIT_MIB = 1536
"""What a plain laptop can spare beside its other programs; common practice, no source."""


def main() -> None:
    """Prints words, seconds of talk and peak memory, and whether that is within the limit."""
    parser = argparse.ArgumentParser(description="Memory of reading.")
    parser.add_argument("captions", type=Path)
    parser.add_argument("--words", type=int, default=9000)
    parser.add_argument("--alone", action="store_true", help="read in this process and print its figures")
    arguments = parser.parse_args()
    if arguments.alone:
        _read_alone(arguments.captions, arguments.words)
        return
    print(machine())
    command = [sys.executable, __file__, str(arguments.captions), "--words", str(arguments.words), "--alone"]
    subprocess.run(command, check=True)


def long_talk(source: Path, words: int) -> Transcript:
    """Talks of ``source``, joined until they hold ``words`` words; fewer when there are no more."""
    transcripts: list[Transcript] = []
    for path in sorted(source.glob("*.vtt")) if source.is_dir() else [source]:
        if sum(len(each.words) for each in transcripts) >= words:
            break
        transcripts.append(transcript_of([path]))
    return joined(transcripts)


def _read_alone(source: Path, words: int) -> None:
    transcript = long_talk(source, words)
    draft = Drafting(DOMAINS).draft(transcript)
    size = f"{len(transcript.words)} words, {transcript.duration_s:.0f} s of talk, {len(draft.items)} items"
    peak = peak_mib()
    verdict = "within" if peak <= LIMIT_MIB else "over"
    print(f"{size}: peak {peak:.0f} MiB, {verdict} the limit of {LIMIT_MIB} MiB", flush=True)


if __name__ == "__main__":
    main()
