"""Checks that the demonstration recordings can be understood: word error rate of a recogniser against the captions.

usage: python hear_back.py MODEL_FOLDER        (a Whisper model converted for CTranslate2)
"""

import json
import re
import sys
from pathlib import Path

import jiwer
from faster_whisper import WhisperModel
from whisper_normalizer.english import EnglishTextNormalizer

HERE = Path(__file__).parent


def reference_text(name: str) -> str:
    """The caption text of a recording, without what the loud machine drowned."""
    gold = json.loads((HERE / f"{name}.gold.json").read_text(encoding="utf-8"))
    start_s, end_s = gold.get("drowned", (0.0, 0.0))
    captions = (HERE / f"{name}.vtt").read_text(encoding="utf-8")
    cues = re.findall(r"^(\d+):(\d+):([\d.]+) --> .+\n<v [^>]+>(.+)$", captions, re.MULTILINE)
    return " ".join(text for h, m, s, text in cues if not start_s <= int(h) * 3600 + int(m) * 60 + float(s) < end_s)


def main(folder: str) -> None:
    """Prints the rate for each recording, every place where words differ, and all that was heard."""
    model = WhisperModel(folder, device="cpu", compute_type="int8", local_files_only=True)
    plain = EnglishTextNormalizer()
    for media in sorted([*HERE.glob("*.ogg"), *HERE.glob("*.mp4")]):
        segments = list(model.transcribe(str(media), language="en", beam_size=5, vad_filter=True)[0])
        result = jiwer.process_words(plain(reference_text(media.stem)), plain(" ".join(s.text for s in segments)))
        said, heard = result.references[0], result.hypotheses[0]
        print(f"{media.name}: WER {100 * result.wer:.1f} % of {len(said)} words")
        for chunk in result.alignments[0]:
            if chunk.type != "equal":
                was = " ".join(said[chunk.ref_start_idx : chunk.ref_end_idx])
                print(f"  {chunk.type}: {was!r} -> {' '.join(heard[chunk.hyp_start_idx : chunk.hyp_end_idx])!r}")
        for segment in segments:
            print(f"  {segment.start:7.2f} {segment.end:7.2f} {segment.text.strip()}")


if __name__ == "__main__":
    main(sys.argv[1])
