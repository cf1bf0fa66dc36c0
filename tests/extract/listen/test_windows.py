"""Cutting sound into windows, by the probability of a voice."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from vouchbook.extract.listen.windows import FRAME_S, WINDOW_S, Probabilities, best_cut_s, likely_speech, windows

probabilities = hnp.arrays(np.float32, st.integers(0, 4000), elements=st.floats(0, 1, width=16))


def talk(*parts: tuple[float, float]) -> Probabilities:
    """Frames out of (seconds, probability) pairs."""
    return np.concatenate([np.full(round(length_s / FRAME_S), value, dtype=np.float32) for length_s, value in parts])


@given(probabilities)
def test_windows_are_in_order_apart_and_short_enough(probability: Probabilities) -> None:
    cut = windows(probability, likely_speech(probability))
    assert all(0 <= window.start_s < window.end_s <= probability.size * FRAME_S + 1e-6 for window in cut)
    assert all(window.length_s <= WINDOW_S + FRAME_S for window in cut)
    assert all(before.end_s <= after.start_s + 1e-6 for before, after in pairwise(cut))


@given(probabilities)
def test_no_three_frames_of_speech_fall_between_windows(probability: Probabilities) -> None:
    cut = windows(probability, likely_speech(probability))
    voiced = probability >= 0.5
    for frame in np.flatnonzero(voiced[:-2] & voiced[1:-1] & voiced[2:]) + 1:
        middle_s = (frame + 0.5) * FRAME_S
        assert any(window.start_s - 1e-6 <= middle_s <= window.end_s + 1e-6 for window in cut)


@pytest.mark.parametrize(
    ("parts", "count"),
    [
        pytest.param([(5, 0.0)], 0, id="silence-has-none"),
        pytest.param([(1, 0.0), (3, 0.9), (1, 0.0)], 1, id="one-sentence"),
        pytest.param([(1, 0.0), (0.06, 0.9), (1, 0.0)], 0, id="a-click-is-no-speech"),
        pytest.param([(3, 0.9), (1.5, 0.0), (3, 0.9)], 1, id="a-short-pause-stays-inside"),
        pytest.param([(3, 0.9), (4, 0.0), (3, 0.9)], 2, id="a-long-pause-parts"),
        pytest.param([(20, 0.9), (1.5, 0.0), (20, 0.9)], 2, id="two-that-do-not-fit-together"),
        pytest.param([(70, 0.9)], 3, id="endless-talk-is-cut"),
    ],
)
def test_pauses_decide_how_many_windows(parts: list[tuple[float, float]], count: int) -> None:
    probability = talk(*parts)
    assert len(windows(probability, likely_speech(probability))) == count


def test_endless_talk_is_cut_where_speech_is_least_likely() -> None:
    probability = talk((20, 0.9), (0.3, 0.5), (20, 0.9))
    first, second = windows(probability, likely_speech(probability))
    assert first.end_s == second.start_s == pytest.approx(20.15, abs=0.15)


def test_a_chunk_is_cut_in_the_middle_of_its_longest_late_pause() -> None:
    probability = talk((30, 0.9), (5, 0.0), (40, 0.9), (2, 0.0), (10, 0.9), (0.5, 0.0), (10, 0.9))
    assert best_cut_s(probability, 60) == pytest.approx(76, abs=0.1)


def test_speech_is_padded_but_not_past_the_sound() -> None:
    (span,) = likely_speech(talk((0.1, 0.0), (1, 0.9), (0.1, 0.0)))
    assert span.start_s == 0
    assert span.end_s == pytest.approx(1.2, abs=2 * FRAME_S)
