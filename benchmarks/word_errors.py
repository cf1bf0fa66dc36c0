"""Word error rates of hearing, without and with hotwords, on recordings whose words are known.

usage: python benchmarks/word_errors.py [FOLDER] [--model base] [--hotword WORD ...]

FOLDER (demo_audio by default) holds recordings, each with NAME.vtt or NAME.txt: what is said in it. Case, punctuation
and spellings of numbers are brought to one form by :func:`plain`, which is simpler than the Whisper normaliser, so
rates are a little higher than with that. A stretch that NAME.gold.json calls ``drowned`` is left out of what is said.
"""

import argparse
import json
import re
from pathlib import Path

import jiwer
from machine import machine

from vouchbook.extract.listen.captions.registry import read_captions
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.speech import hear

SOUND = {".ogg", ".mp4", ".wav", ".flac", ".m4a", ".mp3", ".opus"}
NUMBERS = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def main() -> None:
    """Prints errors and words of each recording and of all, for each way of hearing."""
    parser = argparse.ArgumentParser(description="Word error rates.")
    parser.add_argument("folder", type=Path, nargs="?", default=Path(__file__).parents[1] / "demo_audio")
    parser.add_argument("--model", default="base")
    parser.add_argument("--hotword", action="append", default=[])
    arguments = parser.parse_args()
    print(machine())
    ways = {"no hotwords": ()} | ({"hotwords": tuple(arguments.hotword)} if arguments.hotword else {})
    for name, hotwords in ways.items():
        errors = words = 0
        for path in sorted(path for path in arguments.folder.iterdir() if path.suffix.lower() in SOUND):
            said = plain(_said(path))
            transcript = hear([path], HearingSettings(model=arguments.model, hotwords=hotwords))
            found = jiwer.process_words(said, plain(transcript.text(0, len(transcript.words))))
            wrong = found.substitutions + found.deletions + found.insertions
            errors, words = errors + wrong, words + len(said.split())
            rate = f"{100 * found.wer:.1f} % ({wrong} of {len(said.split())} words)"
            print(f"{arguments.model}, {name}, {path.name}: {rate}")
        if words:
            print(f"{arguments.model}, {name}, all: {100 * errors / words:.1f} % ({errors} of {words} words)")


def plain(text: str) -> str:
    """Lower case, no punctuation, hyphens apart, small numbers as figures, "mm" for millimetre."""
    text = re.sub(r"(\d)([a-z])", r"\1 \2", text.lower().replace("\u2019", "'").replace("-", " "))
    text = re.sub(r"\bmillimet(?:re|er)s?\b|\bmils?\b", "mm", text)
    words = re.findall(r"[a-z0-9']+", text)
    return " ".join(str(NUMBERS.index(word)) if word in NUMBERS else word for word in words)


def _said(recording: Path) -> str:
    gold = recording.with_suffix(".gold.json")
    start_s, end_s = json.loads(gold.read_text(encoding="utf-8")).get("drowned", (0, 0)) if gold.exists() else (0, 0)
    captions = recording.with_suffix(".vtt")
    if captions.exists():
        words = read_captions(captions).words
        return " ".join(word.text for word in words if not start_s <= word.start_s < end_s)
    return recording.with_suffix(".txt").read_text(encoding="utf-8")


if __name__ == "__main__":
    main()
