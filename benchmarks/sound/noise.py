"""Workshop noise, made from a seed: a fan that hums, air and far machines, a grinder now and then, and dropped metal.

It is synthetic and was made by formula, not recorded in any workshop: it has no voices, no radio and no
echo, which are harder. The same seed and length give the same noise.
"""

import numpy as np
import numpy.typing as npt

SAMPLE_RATE = 16_000
Values = npt.NDArray[np.float32]

MAINS_HZ = 50.0
GRINDER_EVERY_S = (15.0, 35.0)
GRINDER_S = (1.5, 4.0)
GRINDER_RMS = 2.0
"""Times the level of the steady noise: 6 dB above it."""
KNOCKS_EVERY_S = (3.0, 12.0)
KNOCK_PEAK = 8.0
RAMP_S = 0.15


def with_noise(speech: Values, snr_db: float, seed: int) -> Values:
    """``speech`` (mono, 16 kHz) in a workshop, turned down where the peaks would clip.

    ``snr_db`` is the level of the speech without its pauses over that of the whole noise, both as RMS. While the
    grinder runs, the ratio is some 5 dB worse.
    """
    noise = workshop(len(speech), seed)
    level = active_rms(speech) * 10 ** (-snr_db / 20)
    mixed = speech + noise * np.float32(level / _rms(noise))
    peak = float(np.abs(mixed).max())
    return np.asarray(mixed * (0.98 / peak) if peak > 0.98 else mixed, np.float32)


def workshop(length: int, seed: int) -> Values:
    """``length`` samples of noise; its steady part has RMS 1."""
    rng = np.random.default_rng(seed)
    steady = _unit(_fan(length, rng) + _unit(_coloured(length, rng)))
    return np.asarray(steady + _grinder(length, rng) + _knocks(length, rng), np.float32)


def active_rms(sound: Values) -> float:
    """RMS over the tenths of a second that are not more than 40 dB below the loudest: a talk without its pauses."""
    tenth = SAMPLE_RATE // 10
    power = np.mean(sound[: len(sound) // tenth * tenth].reshape(-1, tenth) ** 2, axis=1)
    return float(np.sqrt(np.mean(power[power > power.max() * 1e-4])))


def _fan(length: int, rng: np.random.Generator) -> Values:
    """Harmonics of twice the mains, and blades that modulate moving air."""
    t = np.arange(length) / SAMPLE_RATE
    hum = np.zeros(length)
    for n in range(1, 8):
        hum += np.sin(2 * np.pi * 2 * MAINS_HZ * n * t + rng.uniform(0, 2 * np.pi)) / n
    air = _unit(_band(length, 200, 2500, rng)) * (1 + 0.4 * np.sin(2 * np.pi * 23 * t))
    return np.asarray(0.7 * _unit(hum) + 0.5 * air, np.float32)


def _grinder(length: int, rng: np.random.Generator) -> Values:
    out = np.zeros(length)
    at_s = rng.uniform(*GRINDER_EVERY_S)
    while (first := int(at_s * SAMPLE_RATE)) < length:
        t = np.arange(min(int(rng.uniform(*GRINDER_S) * SAMPLE_RATE), length - first)) / SAMPLE_RATE
        whine = np.sin(2 * np.pi * 710 * t + 4 * np.sin(2 * np.pi * 0.9 * t))
        burst = _unit(_band(len(t), 800, 7000, rng)) + 0.4 * whine if len(t) > 1 else np.zeros(len(t))
        ramp = np.minimum(1.0, np.minimum(t, t[::-1]) / RAMP_S)
        out[first : first + len(t)] += GRINDER_RMS * ramp * burst
        at_s += rng.uniform(*GRINDER_EVERY_S)
    return out.astype(np.float32)


def _knocks(length: int, rng: np.random.Generator) -> Values:
    out = np.zeros(length)
    at_s = rng.uniform(*KNOCKS_EVERY_S)
    while (first := int(at_s * SAMPLE_RATE)) < length:
        t = np.arange(min(SAMPLE_RATE // 3, length - first)) / SAMPLE_RATE
        ring = sum(np.sin(2 * np.pi * hz * t) for hz in rng.uniform(600, 4500, 4)) / 4
        click = rng.standard_normal(len(t)) * np.exp(-t / 0.008)
        out[first : first + len(t)] += KNOCK_PEAK * rng.uniform(0.4, 1) * (ring * np.exp(-t / 0.06) + 0.3 * click)
        at_s += rng.uniform(*KNOCKS_EVERY_S)
    return out.astype(np.float32)


def _coloured(length: int, rng: np.random.Generator) -> Values:
    """Power that falls with the frequency, from 40 Hz on."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    hz = np.fft.rfftfreq(length, 1 / SAMPLE_RATE)
    return np.fft.irfft(spectrum * np.where(hz > 40, 1 / np.sqrt(np.maximum(hz, 40)), 0), length).astype(np.float32)


def _band(length: int, low_hz: float, high_hz: float, rng: np.random.Generator) -> Values:
    spectrum = np.fft.rfft(rng.standard_normal(length))
    hz = np.fft.rfftfreq(length, 1 / SAMPLE_RATE)
    return np.fft.irfft(spectrum * ((hz > low_hz) & (hz < high_hz)), length).astype(np.float32)


def _unit(sound: npt.NDArray[np.floating]) -> Values:
    return np.asarray(sound / _rms(sound), np.float32)


def _rms(sound: npt.NDArray[np.floating]) -> float:
    return float(np.sqrt(np.mean(np.square(sound))))
