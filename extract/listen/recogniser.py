"""The speech recogniser: words, seconds and probabilities out of sound. The only file with faster-whisper.

Decoding is batched: windows that were cut at pauses are recognised several at a time. In faster-whisper 1.2 the
batched way uses the first temperature only and leaves Whisper's checks for failed decoding (compression ratio, mean log
probability) out, so they are made here: a window that fails them is decoded once more, alone, with time stamps and
with two small temperatures after zero. Higher temperatures make text up, which is the last thing wanted here.
"""

import itertools
import os
from collections.abc import Callable
from typing import Final

os.environ["HF_HUB_OFFLINE"] = "1"  # read when the hub's client is first imported: weights are never fetched

import ctranslate2
import numpy as np
from faster_whisper import BatchedInferencePipeline, WhisperModel
from faster_whisper.transcribe import Segment
from faster_whisper.vad import get_vad_model

from vouchbook.extract.listen.heard import FAILED_COMPRESSION_RATIO, FAILED_LOG_PROBABILITY, HeardSegment, HeardWord
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound
from vouchbook.extract.listen.weights import Model
from vouchbook.extract.listen.windows import FRAME_SAMPLES, Probabilities, Span
from vouchbook.models.errors import ModelError, SettingError

ENGINE: Final = f"faster-whisper with CTranslate2 {ctranslate2.__version__}"

_SECOND_TEMPERATURES: Final = (0.0, 0.2, 0.4)
_VAD_BLOCK_S: Final = 60
_VAD_LEAD_S: Final = 2
"""The detector is recurrent: each block starts with two seconds that it has heard before."""


class Recogniser:
    """A loaded model. Its folder is read once; making one takes about a second."""

    def __init__(self, model: Model, settings: HearingSettings) -> None:
        if model.english_only and settings.language != "en":
            raise SettingError(f"speech model {model.name} knows English only. Choose base for {settings.language}.")
        ctranslate2.set_random_seed(1)  # the same sound gives the same words at every temperature
        self._settings = settings
        self.notes: list[str] = []
        self._model = self._loaded(model, settings)
        self._batched = BatchedInferencePipeline(self._model)
        if settings.language not in self._model.supported_languages:
            raise SettingError(f"language {settings.language!r} is not known. Give a code such as en, de or fr.")

    def speech_probability(self, sound: Sound) -> Probabilities:
        """How likely each frame of :data:`FRAME_SAMPLES` samples holds a voice, 0 to 1; a last part frame counts."""
        detector = get_vad_model()
        frames = -(-sound.size // FRAME_SAMPLES)
        block, lead = (seconds * SAMPLE_RATE // FRAME_SAMPLES for seconds in (_VAD_BLOCK_S, _VAD_LEAD_S))
        found: list[Probabilities] = []
        for start in range(0, frames, block):
            before = min(lead, start)
            part = sound[(start - before) * FRAME_SAMPLES : (start + block) * FRAME_SAMPLES]
            part = np.pad(part, (0, -part.size % FRAME_SAMPLES))
            found.append(np.asarray(detector(part), dtype=np.float32).reshape(-1)[before:])
        return np.concatenate(found) if found else np.zeros(0, dtype=np.float32)

    def recognise(
        self, sound: Sound, spans: list[Span], on_span: Callable[[Span], None] = lambda _: None
    ) -> list[HeardSegment]:
        """What is said in each of ``spans`` (at most 30 s each) of ``sound``: one segment a span, in order.

        A span in which nothing was recognised gives a segment without words. Seconds count from the start of ``sound``.
        """
        if not spans:
            return []
        segments, _ = self._batched.transcribe(
            sound,
            language=self._settings.language,
            beam_size=self._settings.beam_size,
            batch_size=self._settings.batch_size,
            temperature=0.0,
            word_timestamps=True,
            vad_filter=False,
            clip_timestamps=[{"start": span.start_s, "end": span.end_s} for span in spans],
            hotwords=self._hotwords(),
        )
        found = {self._seek(span): span for span in spans}
        heard: dict[int, HeardSegment] = {}
        for seek, group in itertools.groupby(segments, key=lambda segment: int(segment.seek)):
            first = _heard(found[seek], list(group))
            heard[seek] = self._second_decoding(sound, found[seek], first) if _has_failed(first) else first
            on_span(found[seek])
        return [heard.get(seek) or _heard(span, []) for seek, span in found.items()]

    def _seek(self, span: Span) -> int:
        """What faster-whisper calls a segment of ``span``: its first frame, rounded twice on the way."""
        return int(int(span.start_s * SAMPLE_RATE) / SAMPLE_RATE * self._model.frames_per_second)

    def _second_decoding(self, sound: Sound, span: Span, first: HeardSegment) -> HeardSegment:
        start = int(span.start_s * SAMPLE_RATE)
        segments, _ = self._model.transcribe(
            sound[start : int(span.end_s * SAMPLE_RATE)],
            language=self._settings.language,
            beam_size=self._settings.beam_size,
            temperature=_SECOND_TEMPERATURES,
            word_timestamps=True,
            condition_on_previous_text=False,
            hotwords=self._hotwords(),
        )
        second = _heard(span, list(segments), offset_s=start / SAMPLE_RATE)
        if not second.words or _goes_in_circles(second):
            return first
        return second if _goes_in_circles(first) or second.avg_logprob > first.avg_logprob else first

    def _hotwords(self) -> str | None:
        return ", ".join(self._settings.hotwords) or None

    def _loaded(self, model: Model, settings: HearingSettings) -> WhisperModel:
        device = chosen_device(settings)
        try:
            return self._tried(model, device, settings.threads)
        except (RuntimeError, ValueError) as error:  # what CTranslate2 raises: no driver, no library, damaged weights
            if device == "cuda" and settings.device == "auto":
                self.notes.append("The graphics card could not be used; the processor heard this.")
                return self._tried(model, "cpu", settings.threads)
            if device == "cuda":
                message = f"device cuda cannot be used ({_first_line(error)}). Choose device cpu, or auto."
                raise SettingError(message) from error
            raise ModelError(f"{model.folder}: cannot be loaded as a speech model ({_first_line(error)}).") from error

    @staticmethod
    def _tried(model: Model, device: str, threads: int) -> WhisperModel:
        loaded = WhisperModel(
            str(model.folder),
            device=device,
            compute_type=compute_type(device),
            cpu_threads=threads or os.cpu_count() or 1,
            local_files_only=True,
        )
        if device == "cuda":  # missing libraries show only when the card first works
            loaded.encode(np.zeros((loaded.feat_kwargs.get("feature_size", 80), 3000), dtype=np.float32))
        return loaded


def chosen_device(settings: HearingSettings) -> str:
    """The device that ``settings`` lead to on this machine: "cuda" or "cpu"."""
    if settings.device != "auto":
        return settings.device
    return "cuda" if ctranslate2.get_cuda_device_count() > 0 else "cpu"


def compute_type(device: str) -> str:
    """The number format: float16 on a graphics card, int8 on the processor."""
    return "float16" if device == "cuda" else "int8"


def _has_failed(segment: HeardSegment) -> bool:
    return bool(segment.words) and (_goes_in_circles(segment) or segment.avg_logprob < FAILED_LOG_PROBABILITY)


def _goes_in_circles(segment: HeardSegment) -> bool:
    return segment.compression_ratio > FAILED_COMPRESSION_RATIO


def _heard(span: Span, segments: list[Segment], offset_s: float = 0.0) -> HeardSegment:
    words: list[HeardWord] = []
    for segment in segments:
        for index, word in enumerate(segment.words or []):
            # "3" and "/8" come apart; only a leading space starts a new word.
            glued = index > 0 and bool(words) and not word.word.startswith(" ")
            for part, text in enumerate(word.word.split()):
                piece = HeardWord(
                    text=text,
                    start_s=max(0.0, float(word.start) + offset_s),
                    end_s=max(0.0, float(word.end) + offset_s, float(word.start) + offset_s),
                    probability=min(1.0, max(0.0, float(word.probability))),
                )
                if glued and part == 0:
                    piece = words.pop().joined(piece)
                words.append(piece)
    weights = [max(1, len(segment.tokens)) for segment in segments] or [1]
    return HeardSegment(
        span=span,
        words=tuple(words),
        avg_logprob=float(np.average([s.avg_logprob for s in segments] or [0.0], weights=weights)),
        no_speech_prob=max((float(s.no_speech_prob) for s in segments), default=1.0),
        compression_ratio=max((float(s.compression_ratio) for s in segments), default=0.0),
    )


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0].rstrip(".")
