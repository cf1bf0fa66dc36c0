"""What the product hears of a talk at a level of noise, kept so that reading and scoring again take seconds."""

import hashlib
import json
import tempfile
from dataclasses import astuple, dataclass
from pathlib import Path

from sound.noise import with_noise
from sound.timeline import SpokenCue
from sound.voices import speakers, spoken, write_wave
from vouchbook.extract.listen.cache import HEARING_VERSION
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.run import transcript_of
from vouchbook.models.transcript import Transcript

SOUND_VERSION = 1
"""Goes up when the same captions give other sound than before."""
SEED = 29
RECORDED = "recorded"
LEVELS_DB = {"clean": None, "20 dB": 20.0, "10 dB": 10.0}
RECORDINGS = (".ogg", ".mp4", ".wav", ".flac", ".m4a", ".mp3", ".opus")


@dataclass(frozen=True, slots=True)
class Heard:
    """What was heard of a talk, and where in the sound each cue of its captions is said."""

    transcript: Transcript
    cues: tuple[SpokenCue, ...]


def recording_of(captions: Path) -> Path | None:
    """The recording beside ``captions`` that they are the captions of, or None."""
    return next((path for end in RECORDINGS if (path := captions.with_suffix(end)).exists()), None)


def heard(captions: Path, level: str, model: str, folder: Path) -> Heard:
    """``captions`` as the product hears them at ``level``; taken from ``folder`` where it was heard before.

    The product is told how many people speak where the captions name them, as an officer would tell it.
    """
    said = transcript_of([captions])
    recording = recording_of(captions) if level == RECORDED else None
    source = recording or captions
    way = [SOUND_VERSION, HEARING_VERSION, SEED, level, model, hashlib.sha256(source.read_bytes()).hexdigest()]
    key = hashlib.sha256(json.dumps(way).encode()).hexdigest()[:12]
    kept = folder / f"{captions.stem}.{level.replace(' ', '')}.{Path(model).name}.{key}.json"
    if kept.exists():
        return _read(kept)
    settings = HearingSettings(model=model, use_cache=False)
    if recording is not None:
        spans = [(line.start_s, line.end_s) for line in said.lines]
        found = Heard(transcript_of([recording], settings, speakers(said)), tuple(SpokenCue(s, s) for s in spans))
    else:
        with tempfile.TemporaryDirectory() as temporary:
            file = Path(temporary) / f"{captions.stem}.wav"
            speech, cues = spoken(said)
            snr_db = LEVELS_DB[level]
            # each talk has its own noise, the same in every run
            seed = SEED + int(hashlib.sha256(captions.stem.encode()).hexdigest()[:6], 16)
            write_wave(file, speech if snr_db is None else with_noise(speech, snr_db, seed))
            found = Heard(transcript_of([file], settings, speakers(said)), cues)
    _write(kept, found)
    return found


def _read(kept: Path) -> Heard:
    stored = json.loads(kept.read_text(encoding="utf-8"))
    cues = tuple(SpokenCue(tuple(captioned), tuple(in_sound)) for captioned, in_sound in stored["cues"])
    return Heard(Transcript.model_validate(stored["transcript"]), cues)


def _write(kept: Path, found: Heard) -> None:
    kept.parent.mkdir(parents=True, exist_ok=True)
    stored = {"cues": [astuple(cue) for cue in found.cues], "transcript": found.transcript.model_dump(mode="json")}
    unfinished = kept.with_suffix(".part")
    unfinished.write_text(json.dumps(stored), encoding="utf-8")
    unfinished.replace(kept)
