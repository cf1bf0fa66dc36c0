from hashlib import sha256
from importlib.resources import files

import numpy as np
import pytest

from vouchbook.extract.listen.voice_network import MARGIN, SAMPLE_RATE, WINDOW, Layer, VoiceNetwork, mel_bands


def test_the_weights_are_those_that_the_licence_note_names() -> None:
    room = files("vouchbook.extract.listen")
    digest = sha256(room.joinpath("voice_weights.npz").read_bytes()).hexdigest()
    assert f"`{digest}`" in room.joinpath("voice_weights.LICENCE.md").read_text("utf-8")


def tone(frequency_hz: float, amplitude: float = 0.5) -> np.typing.NDArray[np.float32]:
    times = np.arange(WINDOW + 2 * MARGIN) / SAMPLE_RATE
    return (amplitude * np.sin(2 * np.pi * frequency_hz * times)).astype(np.float32)


@pytest.mark.parametrize(
    ("frequency_hz", "band"),
    [
        # Mel scale of Slaney's toolbox: 8000 Hz is 45.2456 mel, so the middles of 40 bands are 1.10355 mel apart and
        # linear up to 1 kHz (15 mel): band n has its middle at (n + 1) * 1.10355 * 200 / 3 Hz.
        pytest.param(73.57, 0, id="first"),
        pytest.param(367.85, 4, id="linear part"),
        pytest.param(735.70, 9, id="linear part, higher"),
        # 30 * 1.10355 mel = 33.1065 mel = 1000 * exp(18.1065 * ln 6.4 / 27) Hz
        pytest.param(3472.6, 29, id="logarithmic part"),
    ],
)
def test_a_tone_lies_in_its_band(frequency_hz: float, band: int) -> None:
    mels = mel_bands(tone(frequency_hz))
    assert mels.shape == (160, 40)
    assert set(np.argmax(mels[5:-5], axis=1)) == {band}


def test_soft_sound_is_brought_up_and_loud_sound_is_left_alone() -> None:
    assert mel_bands(tone(500, 0.001)) == pytest.approx(mel_bands(tone(500, 0.01)), rel=1e-3)
    assert mel_bands(tone(500, 0.8)).max() == pytest.approx(4 * mel_bands(tone(500, 0.4)).max(), rel=1e-3)


def test_a_layer_follows_the_equations_of_the_lstm() -> None:
    """Against the equations written out for single numbers."""
    random = np.random.default_rng(7)
    weight_in, weight_state = random.normal(size=(12, 2)), random.normal(size=(12, 3))
    bias, inputs = random.normal(size=12), random.normal(size=(4, 5, 2))
    states = Layer(*(array.astype(np.float32) for array in (weight_in, weight_state, bias))).run(
        inputs.astype(np.float32)
    )

    def sigmoid(value: float) -> float:
        return float(1 / (1 + np.exp(-value)))

    for sample in range(5):
        state, cell = [0.0] * 3, [0.0] * 3
        for step in range(4):
            gates = [
                sum(weight_in[row][k] * inputs[step][sample][k] for k in range(2))
                + sum(weight_state[row][k] * state[k] for k in range(3))
                + bias[row]
                for row in range(12)
            ]
            cell = [
                sigmoid(gates[3 + unit]) * cell[unit] + sigmoid(gates[unit]) * np.tanh(gates[6 + unit])
                for unit in range(3)
            ]
            state = [sigmoid(gates[9 + unit]) * float(np.tanh(cell[unit])) for unit in range(3)]
            assert states[step][sample] == pytest.approx(state, abs=1e-5)


def test_vectors_have_length_one_whatever_the_sound() -> None:
    noise = np.random.default_rng(1).normal(0, 0.1, WINDOW + 2 * MARGIN).astype(np.float32)
    windows = [np.zeros_like(noise), noise, tone(200), np.ones_like(noise)]
    vectors = VoiceNetwork().embed(np.stack([mel_bands(window) for window in windows]))
    assert vectors.shape == (4, 256)
    assert np.linalg.norm(vectors, axis=1) == pytest.approx(np.ones(4), abs=1e-5)
