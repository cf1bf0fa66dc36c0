"""What is heard around the talk: a quiet room, or a workshop with one machine that drowns a sentence."""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from maker.talk import Span, Talk
from maker.voices import SAMPLE_RATE_HZ, SPOKEN_RMS, Sound

DROWNED_EDGE_S = 0.25
DROWNED_LIMITS_S = (4.0, 6.0)

Values = npt.NDArray[np.floating]


def drowned_span_s(talk: Talk) -> Span | None:
    """The stretch that the loud machine covers, or None; ValueError when it is not 4 to 6 s long."""
    spans = [spoken.span_s for spoken in talk.cues if spoken.cue.drowned]
    if not spans:
        return None
    start_s, end_s = round(spans[0][0] - DROWNED_EDGE_S, 3), round(spans[-1][1] + DROWNED_EDGE_S, 3)
    if not DROWNED_LIMITS_S[0] <= end_s - start_s <= DROWNED_LIMITS_S[1]:
        raise ValueError(f"{talk.script.name}: the drowned stretch lasts {end_s - start_s:.2f} s: reword the sentence")
    return start_s, end_s


def record(talk: Talk) -> Sound:
    """The talk as a microphone would have it: room, noise at the script's ratio, peak below full scale."""
    script, rng = talk.script, np.random.default_rng(23)
    workshop = script.setting == "workshop"
    sound = _in_a_room(talk.speech, 0.22 if workshop else 0.12, rng)
    noise = _workshop(len(sound), rng) if workshop else _brown(len(sound), rng)
    sound = sound + _scaled(noise, script.snr_db)
    span_s = drowned_span_s(talk)
    if span_s:
        first, last = (int(second * SAMPLE_RATE_HZ) for second in span_s)
        sound[first:last] += _loud_machine(last - first, script.drowned_snr_db, rng)
    # a recorder limits a burst of noise, and turns nothing else down for it
    limited = np.sign(sound) * (0.7 + 0.28 * np.tanh((np.abs(sound) - 0.7) / 0.28))
    return np.where(np.abs(sound) > 0.7, limited, sound).astype(np.float32)


def _workshop(length: int, rng: np.random.Generator) -> Sound:
    t = np.arange(length) / SAMPLE_RATE_HZ
    hum = sum(np.sin(2 * np.pi * 100 * n * t + n) / n**1.5 for n in range(1, 6))
    tremolo = 1 + 0.6 * np.sin(2 * np.pi * 4.3 * t)
    fan = _unit(_band(length, 500, 3200, rng)) * tremolo
    return (_unit(_brown(length, rng)) + 0.6 * _unit(np.asarray(hum)) + 0.45 * fan).astype(np.float32)


def _loud_machine(length: int, snr_db: float, rng: np.random.Generator) -> Sound:
    t = np.arange(length) / SAMPLE_RATE_HZ
    whine = sum(np.sin(2 * np.pi * 620 * n * t + 3 * np.sin(2 * np.pi * 1.1 * t)) / n for n in range(1, 7))
    grind = _unit(_band(length, 250, 7000, rng)) * (1 + 0.35 * np.sign(np.sin(2 * np.pi * 27 * t)))
    ramp = np.minimum(1.0, np.minimum(t, t[::-1]) / 0.12)
    return _scaled(ramp * (grind + 0.5 * _unit(np.asarray(whine))), snr_db)


def _in_a_room(speech: Sound, wet: float, rng: np.random.Generator) -> Sound:
    length = int(0.3 * SAMPLE_RATE_HZ)
    decay = rng.standard_normal(length) * np.exp(-np.arange(length) / (0.055 * SAMPLE_RATE_HZ))
    size = 1 << (len(speech) + length).bit_length()
    echo = np.fft.irfft(np.fft.rfft(speech, size) * np.fft.rfft(_unit(decay) / np.sqrt(length), size))[: len(speech)]
    return (speech + wet * echo).astype(np.float32)


def _brown(length: int, rng: np.random.Generator) -> Sound:
    return _shaped(length, lambda hz: np.where(hz > 30, 1 / np.maximum(hz, 30), 0), rng)


def _band(length: int, low_hz: float, high_hz: float, rng: np.random.Generator) -> Sound:
    return _shaped(length, lambda hz: ((hz > low_hz) & (hz < high_hz)) / np.sqrt(np.maximum(hz, 1)), rng)


def _shaped(length: int, gain: Callable[[Values], Values], rng: np.random.Generator) -> Sound:
    spectrum = np.fft.rfft(rng.standard_normal(length))
    return np.fft.irfft(spectrum * gain(np.fft.rfftfreq(length, 1 / SAMPLE_RATE_HZ)), length).astype(np.float32)


def _unit(sound: Values) -> Sound:
    return np.asarray(sound / np.sqrt(np.mean(sound**2)), np.float32)


def _scaled(noise: Values, snr_db: float) -> Sound:
    """Noise so many decibels below the level of the speech (both as RMS; speech without its pauses)."""
    return np.asarray(_unit(noise) * SPOKEN_RMS * 10 ** (-snr_db / 20), np.float32)
