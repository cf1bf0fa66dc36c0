"""What of the recogniser's text stands, and what it made up."""

import numpy as np
import pytest

from vouchbook.extract.listen.heard import HeardSegment, HeardWord
from vouchbook.extract.listen.invented import judged, without_loops
from vouchbook.extract.listen.windows import FRAME_S, Span


def words(text: str, start_s: float = 1.0, word_s: float = 0.3) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(text=part, start_s=start_s + i * word_s, end_s=start_s + (i + 1) * word_s, probability=0.9)
        for i, part in enumerate(text.split())
    )


def segment(
    text: str, *, length_s: float = 28, log: float = -0.2, no_speech: float = 0.0, ratio: float = 1.6
) -> HeardSegment:
    return HeardSegment(
        span=Span(start_s=1, end_s=1 + length_s),
        words=words(text, word_s=min(0.3, length_s / max(1, len(text.split())))),
        avg_logprob=log,
        no_speech_prob=no_speech,
        compression_ratio=ratio,
    )


VOICE = np.full(round(40 / FRAME_S), 0.9, dtype=np.float32)
SILENCE = np.zeros_like(VOICE)


def said(found: tuple[HeardWord, ...]) -> str:
    return " ".join(word.text for word in found)


@pytest.mark.parametrize(
    ("heard", "stands", "why"),
    [
        pytest.param(segment("Cut the yellow loop."), "Cut the yellow loop.", None, id="speech-stands"),
        pytest.param(segment("No, no, no."), "No, no, no.", None, id="people-repeat-themselves"),
        pytest.param(segment(". . . ."), "", None, id="rows-of-full-stops"),
        pytest.param(segment("Pull [engine running] it."), "Pull it.", "a sound described", id="a-sound-described"),
        pytest.param(
            segment("The bolt (13 millimetre) first."),
            "The bolt (13 millimetre) first.",
            None,
            id="brackets-that-were-said",
        ),
        pytest.param(segment("(upbeat music)"), "", "a sound described", id="music-described"),
        pytest.param(segment("♪ la la ♪ now"), "now", "a sound described", id="song-marks"),
        pytest.param(
            segment("Thank you.", log=-1.2, no_speech=0.8),
            "",
            "taken for no speech by the recogniser itself",
            id="no-speech-and-unlikely",
        ),
        pytest.param(
            segment("Thank you.", log=-0.3, no_speech=0.8), "Thank you.", None, id="no-speech-alone-proves-nothing"
        ),
        pytest.param(
            segment("one two three four five six seven eight nine ten", length_s=1.0),
            "",
            "more words than can be spoken in that time",
            id="ten-words-a-second",
        ),
        pytest.param(segment("it is " * 9, ratio=4.0), "", "the recogniser went in circles", id="a-loop"),
        pytest.param(
            segment("Lift it off. " + "and so " * 6), "Lift it off. and so", "repeats", id="a-loop-at-the-end"
        ),
    ],
)
def test_what_stands(heard: HeardSegment, stands: str, why: str | None) -> None:
    judgement = judged(heard, VOICE, sound_s=40)
    assert (said(judgement.words), judgement.dropped) == (stands, why)


def test_words_where_no_voice_is_are_dropped() -> None:
    assert judged(segment("You"), SILENCE, sound_s=40).words == ()


def test_words_past_the_end_of_the_sound_are_dropped() -> None:
    judgement = judged(segment("Mind the cable there"), VOICE, sound_s=1.35)
    assert said(judgement.words) == "Mind the"
    assert judgement.words[-1].end_s == 1.35


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        pytest.param("turn it turn it turn it", "turn it turn it turn it", id="three-turns-stand"),
        pytest.param("go go go go go stop", "go stop", id="five-single-words"),
        pytest.param("Hold on. hold on hold on hold on hold on", "Hold on.", id="punctuation-does-not-hide-a-loop"),
        pytest.param("a b c a b c a b c a b c d", "a b c d", id="four-longer-turns"),
        pytest.param("do not cut it do not cut that", "do not cut it do not cut that", id="no-loop"),
    ],
)
def test_only_long_loops_are_shortened(text: str, kept: str) -> None:
    assert said(without_loops(words(text))) == kept
