"""From 1.6 s of sound to 256 numbers that are alike for the same voice: three LSTM layers in plain numpy.

The network is that of Wan and others, "Generalized end-to-end loss for speaker verification" (2018); the weights are
those of Resemblyzer 0.1.4, see ``voice_weights.LICENCE.md``. Its mel spectrogram is power, not logarithm, so loudness
is brought to one level first.
"""

from importlib.resources import files
from typing import Final

import numpy as np
import numpy.typing as npt
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

Floats = npt.NDArray[np.float32]

SAMPLE_RATE: Final = 16_000
FRAMES: Final = 160
MEL_BANDS: Final = 40
_FFT: Final = 400  # 25 ms
_HOP: Final = 160  # 10 ms
_LAYERS: Final = 3
_UNITS: Final = 256
MARGIN: Final = _FFT // 2
"""Samples on each side of a window that its first and last frames reach into."""
WINDOW: Final = FRAMES * _HOP
"""Samples of a window: 1.6 s."""
_LEVEL_DBFS: Final = -30.0


def mel_bands(window: Floats) -> Floats:
    """Mel power spectrogram of one window, shape (160, 40).

    ``window`` holds ``WINDOW + 2 * MARGIN`` samples. It is brought up to -30 dBFS as in training; digital silence
    stays silent.
    """
    level = float(np.sqrt(np.mean(np.square(window, dtype=np.float64))))
    if level > 0:
        window = window * np.float32(max(10 ** (_LEVEL_DBFS / 20) / level, 1.0))
    frames = np.lib.stride_tricks.sliding_window_view(window, _FFT)[::_HOP][:FRAMES]
    power = np.abs(np.fft.rfft(frames * _HANN, axis=1)) ** 2
    return (power @ _MEL.T).astype(np.float32)


def _mel_filters() -> Floats:
    """Triangles of equal area on the mel scale of Slaney's Auditory Toolbox (linear to 1 kHz, then logarithmic)."""

    def hertz(mel: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        linear = mel * 200 / 3
        return np.where(mel < 15, linear, 1000 * np.exp((mel - 15) * np.log(6.4) / 27))

    top_mel = 15 + 27 * np.log(SAMPLE_RATE / 2 / 1000) / np.log(6.4)
    edges = hertz(np.linspace(0, top_mel, MEL_BANDS + 2))[:, None]
    bins = np.fft.rfftfreq(_FFT, 1 / SAMPLE_RATE)[None, :]
    rising = (bins - edges[:-2]) / (edges[1:-1] - edges[:-2])
    falling = (edges[2:] - bins) / (edges[2:] - edges[1:-1])
    triangles = np.maximum(0, np.minimum(rising, falling)) * 2 / (edges[2:] - edges[:-2])
    return triangles.astype(np.float32)


_MEL: Final = _mel_filters()
_HANN: Final = (0.5 - 0.5 * np.cos(2 * np.pi * np.arange(_FFT) / _FFT)).astype(np.float32)


class VoiceNetwork:
    """The network with its weights (2.6 MB as stored, 5.7 MB in memory)."""

    def __init__(self) -> None:
        with (
            files("vouchbook.extract.listen").joinpath("voice_weights.npz").open("rb") as file,
            np.load(file) as stored,
        ):
            weights = {name: stored[name].astype(np.float32) for name in stored.files}
        self._layers = [
            Layer(
                weights[f"weight_ih_{layer}"],
                weights[f"weight_hh_{layer}"],
                weights[f"bias_ih_{layer}"] + weights[f"bias_hh_{layer}"],
            )
            for layer in range(_LAYERS)
        ]
        self._weight = weights["linear_weight"]
        self._bias = weights["linear_bias"]

    def embed(self, mels: Floats) -> Floats:
        """Unit vectors, shape (n, 256), for mel spectrograms of shape (n, 160, 40).

        On one thread: the products are many and small, and threads that wait for each other between them took two to
        thirty times as long where other programs were at work.
        """
        states = np.ascontiguousarray(mels.transpose(1, 0, 2))
        with threadpool_limits(limits=1, user_api="blas"):
            for layer in self._layers:
                states = layer.run(states)
        raw = np.maximum(states[-1] @ self._weight.T + self._bias, 0)
        lengths = np.linalg.norm(raw, axis=1, keepdims=True)
        return np.asarray(raw / np.maximum(lengths, 1e-9), dtype=np.float32)


class Layer:
    """One LSTM layer (Hochreiter and Schmidhuber 1997, with forget gate), gates in the order in, forget, cell, out."""

    def __init__(self, weight_in: Floats, weight_state: Floats, bias: Floats) -> None:
        self._weight_in = weight_in.T.copy()
        self._weight_state = weight_state.T.copy()
        self._bias = bias
        self._units = weight_state.shape[1]

    def run(self, inputs: Floats) -> Floats:
        """The states of all steps, shape (steps, n, units), for inputs of shape (steps, n, features)."""
        steps, count, features = inputs.shape
        units = self._units
        # One large product for the inputs of all steps; only the state has to wait for the step before.
        gates_in = (inputs.reshape(steps * count, features) @ self._weight_in).reshape(steps, count, 4 * units)
        gates_in += self._bias
        state = np.zeros((count, units), dtype=np.float32)
        cell = np.zeros((count, units), dtype=np.float32)
        states = np.empty((steps, count, units), dtype=np.float32)
        for step in range(steps):
            gates = gates_in[step]
            gates += state @ self._weight_state
            let_in, forget, let_out = (_sigmoid(gates[:, units * gate : units * (gate + 1)]) for gate in (0, 1, 3))
            cell = forget * cell + let_in * np.tanh(gates[:, 2 * units : 3 * units])
            state = let_out * np.tanh(cell)
            states[step] = state
        return states


def _sigmoid(values: Floats) -> Floats:
    """By tanh, which cannot overflow."""
    return np.asarray(0.5 * np.tanh(0.5 * values) + 0.5, dtype=np.float32)
