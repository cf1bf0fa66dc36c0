"""Stretches that may hold speech and gave no words, or unlikely ones."""

import numpy as np
import pytest

from vouchbook.extract.listen.heard import HeardSegment, HeardWord
from vouchbook.extract.listen.lines import lines
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound
from vouchbook.extract.listen.unheard import drowned_stretches, unlikely_stretches, wordless_stretches
from vouchbook.extract.listen.windows import FRAME_S, Probabilities, Span


def talk(*parts: tuple[float, float]) -> Probabilities:
    return np.concatenate([np.full(round(length_s / FRAME_S), value, dtype=np.float32) for length_s, value in parts])


def words(*times: tuple[str, float, float, float]) -> tuple[HeardWord, ...]:
    return tuple(HeardWord(text=t, start_s=s, end_s=e, probability=p) for t, s, e, p in times)


@pytest.mark.parametrize(
    ("parts", "heard", "expected"),
    [
        pytest.param([(10, 0.0)], (), [], id="silence-is-not-shown"),
        pytest.param([(10, 0.07)], (), [], id="a-machine-is-not-shown"),
        pytest.param([(3, 0.0), (6, 0.4), (3, 0.0)], (), [(3, 9)], id="faint-talk-is-shown"),
        pytest.param([(3, 0.0), (0.2, 0.9), (3, 0.0)], (), [], id="a-knock-is-not-shown"),
        pytest.param(
            [(2, 0.9), (6, 0.5)], words(("Off.", 0.2, 1.8, 0.9)), [(2.5, 8)], id="what-follows-the-last-word-is-shown"
        ),
        pytest.param(
            [(4, 0.9)],
            words(("Cut", 0.3, 1.2, 0.9), ("it", 1.9, 2.6, 0.9), ("here.", 3.0, 3.8, 0.9)),
            [],
            id="all-understood",
        ),
    ],
)
def test_possible_speech_without_words_is_shown(
    parts: list[tuple[float, float]], heard: tuple[HeardWord, ...], expected: list[tuple[float, float]]
) -> None:
    probability = talk(*parts)
    found = wordless_stretches(probability, heard, probability.size * FRAME_S)
    assert [stretch.reason for stretch in found] == ["no words"] * len(expected)
    for stretch, (start_s, end_s) in zip(found, expected, strict=True):
        assert stretch.start_s == pytest.approx(start_s, abs=0.6)
        assert stretch.end_s == pytest.approx(end_s, abs=0.6)


def segment(log: float = -0.2, ratio: float = 1.6) -> HeardSegment:
    return HeardSegment(
        span=Span(start_s=0, end_s=20), words=(), avg_logprob=log, no_speech_prob=0, compression_ratio=ratio
    )


SURE = words(("Lift", 0, 1, 0.9), ("the", 1, 2, 0.9), ("flap.", 2, 3, 0.9))
UNSURE = words(("Shift", 3, 4, 0.5), ("the", 4, 5, 0.7), ("lamp.", 5, 6, 0.3))


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        pytest.param(segment(), [(3, 6)], id="the-unsure-line-only"),
        pytest.param(segment(log=-1.1), [(0, 3), (3, 6)], id="decoding-failed"),
        pytest.param(segment(ratio=3.0), [(0, 3), (3, 6)], id="loops"),
    ],
)
def test_lines_that_the_recogniser_hardly_believes_are_shown(
    given: HeardSegment, expected: list[tuple[float, float]]
) -> None:
    found = unlikely_stretches(given, SURE + UNSURE)
    assert [(stretch.start_s, stretch.end_s) for stretch in found] == expected
    assert all(stretch.reason == "unlikely words" for stretch in found)


def test_a_line_ends_at_a_sentence_at_a_pause_and_when_it_is_long() -> None:
    spoken = words(("One.", 0, 1, 1), ("two", 1, 2, 1), ("three", 4, 5, 1))
    assert lines(spoken) == [spoken[:1], spoken[1:2], spoken[2:]]
    endless = words(*[("on", i / 10, i / 10 + 0.1, 1.0) for i in range(60)])
    assert [len(line) for line in lines(endless)] == [28, 28, 4]


def sound(*parts: tuple[float, float]) -> Sound:
    """White noise of the given lengths in seconds and levels in dB below full scale."""
    noise = np.random.default_rng(1)
    pieces = [noise.normal(0, 10 ** (level_db / 20), round(length_s * SAMPLE_RATE)) for length_s, level_db in parts]
    return np.concatenate(pieces).astype(np.float32)


TALK = words(*((f"w{n}", 0.3 * n, 0.3 * n + 0.25, 0.9) for n in range(20)))
"""Six seconds of words without a pause."""
NEXT = words(*((f"v{n}", 12 + 0.3 * n, 12 + 0.3 * n + 0.25, 0.9) for n in range(20)))
"""The same again, from second 12 on."""


@pytest.mark.parametrize(
    ("parts", "heard", "expected"),
    [
        pytest.param([(6, -20), (6, -8), (6, -20)], TALK + NEXT, [(6, 12)], id="a-machine-louder-than-the-talk"),
        pytest.param([(6, -20), (6, -21), (6, -20)], TALK + NEXT, [(6, 12)], id="a-machine-as-loud-as-the-talk"),
        pytest.param([(6, -20), (6, -32), (6, -20)], TALK + NEXT, [], id="a-pause-with-steady-noise-below-it"),
        pytest.param([(6, -20), (6, -90), (6, -20)], TALK + NEXT, [], id="a-silent-pause"),
        pytest.param([(6, -20), (2, -90), (0.5, 0), (3.5, -90), (6, -20)], TALK + NEXT, [], id="a-single-bang"),
        pytest.param([(18, -8)], (), [], id="a-machine-and-nobody-who-talks"),
    ],
)
def test_what_a_loud_machine_may_have_drowned_is_shown(
    parts: list[tuple[float, float]], heard: tuple[HeardWord, ...], expected: list[tuple[float, float]]
) -> None:
    found = drowned_stretches(sound(*parts), heard)
    assert len(found) == len(expected)
    for stretch, (start_s, end_s) in zip(found, expected, strict=True):
        assert stretch.start_s == pytest.approx(start_s, abs=0.3)
        assert stretch.end_s == pytest.approx(end_s, abs=0.3)
