"""Talks spoken by the synthetic voices of flite, cue by cue, at the pace of the captions.

flite 2.2 (Debian: ``apt install flite``) speaks the same text the same way every time. It is a tool of this benchmark;
the program does not know it.
"""

import shutil
import subprocess
import tempfile
import wave
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from sound.timeline import SpokenCue
from vouchbook.models.transcript import Line, Transcript

Sound = npt.NDArray[np.float32]
SAMPLE_RATE = 16_000
VOICES = ("rms", "slt", "awb", "kal16")
"""Who speaks most gets the first: a man, a woman (both United States), a man (Scotland), and one of diphones."""
SPOKEN_RMS = 0.08
"""Level of speech, about 22 dB below full scale: room for noise."""
SLOWEST, QUICKEST = 1.4, 0.7
"""Times the length at flite's own pace; farther from it no voice is natural."""
SHORTEST_PAUSE_S = 0.12
TAIL_S = 1.0


def spoken(transcript: Transcript) -> tuple[Sound, tuple[SpokenCue, ...]]:
    """The talk as mono sound at ``SAMPLE_RATE``, and where each line of it is said.

    Each line is as long as its caption, as far as a voice can be that quick or slow; pauses are those of the captions.

    Raises:
        SystemExit: flite is missing or cannot speak.
    """
    if shutil.which("flite") is None:
        raise SystemExit("flite is missing, it speaks the talks. Install it, on Debian: apt install flite.")
    voices = cast(transcript)
    parts: list[Sound] = []
    cues: list[SpokenCue] = []
    captioned_end_s, at = 0.0, 0
    with tempfile.TemporaryDirectory() as folder:
        for line, voice in zip(transcript.lines, voices, strict=True):
            pause_s = max(SHORTEST_PAUSE_S, line.start_s - captioned_end_s)
            pause = np.zeros(int(pause_s * SAMPLE_RATE), np.float32)
            text = transcript.text(line.first_word, line.last_word)
            said = _say(text, voice, line.end_s - line.start_s, Path(folder) / "cue.wav")
            first = at + len(pause)
            at = first + len(said)
            cues.append(SpokenCue((line.start_s, line.end_s), (first / SAMPLE_RATE, at / SAMPLE_RATE)))
            parts += [pause, said]
            captioned_end_s = line.end_s
    parts.append(np.zeros(int(TAIL_S * SAMPLE_RATE), np.float32))
    return np.concatenate(parts), tuple(cues)


def cast(transcript: Transcript) -> list[str]:
    """A voice of flite for each line; where captions do not say who speaks, two voices take turns."""
    names = [_speaker(transcript, line) for line in transcript.lines]
    if None in names:
        return [VOICES[number % 2] for number in range(len(names))]
    words: Counter[str | None] = Counter()
    for name, line in zip(names, transcript.lines, strict=True):
        words[name] += line.last_word - line.first_word + 1
    voice_of = {name: VOICES[place % len(VOICES)] for place, (name, _) in enumerate(words.most_common())}
    return [voice_of[name] for name in names]


def speakers(transcript: Transcript) -> int | None:
    """How many people speak, None where the captions do not say who does."""
    names = {_speaker(transcript, line) for line in transcript.lines}
    return None if None in names else len(names)


def write_wave(path: Path, sound: Sound) -> None:
    """16-bit mono."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())


def _speaker(transcript: Transcript, line: Line) -> str | None:
    return transcript.words[line.first_word].voice


def _say(text: str, voice: str, length_s: float, file: Path) -> Sound:
    natural = _flite(text, voice, 1.0, file)
    stretch = length_s * SAMPLE_RATE / len(natural)
    sound = _flite(text, voice, min(SLOWEST, max(QUICKEST, stretch)), file)
    return np.asarray(sound * (SPOKEN_RMS / float(np.sqrt(np.mean(sound**2)))), np.float32)


def _flite(text: str, voice: str, stretch: float, file: Path) -> Sound:
    order: Sequence[str] = (
        "flite", "-voice", voice, "--setf", f"duration_stretch={stretch:.3f}", "-t", text, "-o", str(file),
    )  # fmt: skip
    made = subprocess.run(order, check=False, capture_output=True, text=True)
    if made.returncode:
        raise SystemExit(f"flite cannot say {text!r} with voice {voice}: {made.stderr.strip()}. Look at its version.")
    with wave.open(str(file), "rb") as read:
        if read.getframerate() != SAMPLE_RATE:
            raise SystemExit(f"flite's voice {voice} speaks at {read.getframerate()} Hz. Use flite 2.2.")
        sound = np.frombuffer(read.readframes(read.getnframes()), "<i2").astype(np.float32) / 32768
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    return np.asarray(sound[loud[0] : loud[-1] + 1], np.float32)
