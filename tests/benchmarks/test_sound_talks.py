"""Clocks, voices, noise, and questions near a mistake."""

from typing import Any

import numpy as np
import pytest
from sound.noise import SAMPLE_RATE, active_rms, with_noise, workshop
from sound.parts import in_lines_of, with_marks_of
from sound.questions import asked_ranges, by_chance, is_near
from sound.timeline import SpokenCue, Timeline, moved_gold, moved_transcript
from sound.voices import cast, speakers

from vouchbook.models.draft import Draft, ReadBy
from vouchbook.models.evidence import quote
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Line, Transcript, Word

TIMELINE = Timeline([SpokenCue((1, 3), (2, 6)), SpokenCue((4, 5), (7, 7.5))])


def talk(*lines: str, voices: tuple[str | None, ...] = ()) -> Transcript:
    """A word a second, lines behind one another."""
    words: list[Word] = []
    ranges: list[Line] = []
    for number, line in enumerate(lines):
        first = len(words)
        voice = voices[number] if voices else None
        words += [Word(text=w, start_s=first + n, end_s=first + n + 1, voice=voice) for n, w in enumerate(line.split())]
        ranges.append(Line(first_word=first, last_word=len(words) - 1, start_s=first, end_s=len(words)))
    return Transcript(duration_s=len(words), words=tuple(words), lines=tuple(ranges))


@pytest.mark.parametrize(
    ("captioned_s", "spoken_s"),
    [(0, 0), (0.5, 1), (1, 2), (2, 4), (3, 6), (3.5, 6.5), (4.5, 7.25), (5, 7.5), (8, 10.5)],
)
def test_the_clock_of_the_sound(captioned_s: float, spoken_s: float) -> None:
    assert TIMELINE.moved(captioned_s) == spoken_s


def test_a_cue_that_starts_before_the_last_ends_does_not_turn_the_clock_back() -> None:
    line = Timeline([SpokenCue((0, 4), (0, 4)), SpokenCue((3, 6), (5, 8))])
    moved = [line.moved(second / 2) for second in range(16)]
    assert moved == sorted(moved)
    assert line.moved(6) == 8


def test_everything_of_the_gold_that_is_scored_is_moved() -> None:
    gold: dict[str, Any] = {
        "name": "x",
        "items": [{"id": "g1", "at": [1, 3]}],
        "pointers": [{"at": [2, 3], "about": "here"}],
        "conflicts": [{"at": [[1, 2], [4, 5]], "about": "size"}],
        "chatter": [[4, 5]],
        "uncovered": ["fire"],
    }
    assert moved_gold(gold, TIMELINE) == {
        "name": "x",
        "items": [{"id": "g1", "at": [2, 6]}],
        "pointers": [{"at": [4, 6], "about": "here"}],
        "conflicts": [{"at": [[2, 4], [7, 7.5]], "about": "size"}],
        "chatter": [[7, 7.5]],
        "uncovered": ["fire"],
    }


def test_a_moved_transcript_keeps_its_words() -> None:
    moved = moved_transcript(talk("one two three four five"), TIMELINE)
    assert [word.start_s for word in moved.words] == [0, 2, 4, 6, 7]
    assert moved.text(0, 4) == "one two three four five"


@pytest.mark.parametrize(
    ("voices", "spoken_by", "count"),
    [
        (("Ada", "Ben", "Ada"), ["slt", "rms", "slt"], 2),
        ((None, None, None), ["rms", "slt", "rms"], None),
        (("Ada", None, "Ada"), ["rms", "slt", "rms"], None),
    ],
    ids=["the one who speaks most gets the first voice", "unnamed people take turns", "one line unnamed"],
)
def test_who_speaks(voices: tuple[str | None, ...], spoken_by: list[str], count: int | None) -> None:
    captions = talk("is it", "yes it is off now", "good", voices=voices)
    assert cast(captions) == spoken_by
    assert speakers(captions) == count


def test_noise_is_the_same_from_the_same_seed_and_another_from_another() -> None:
    one, again, other = (workshop(20 * SAMPLE_RATE, seed) for seed in (3, 3, 4))
    assert np.array_equal(one, again)
    assert not np.allclose(one, other)
    assert np.isfinite(one).all()


@pytest.mark.parametrize("snr_db", [20.0, 10.0])
def test_noise_has_the_level_that_was_asked_for(snr_db: float) -> None:
    t = np.arange(60 * SAMPLE_RATE) / SAMPLE_RATE
    speech = np.where(t % 4 < 2, 0.05 * np.sin(2 * np.pi * 200 * t), 0).astype(np.float32)  # half of it is pause
    mixed = with_noise(speech, snr_db, 5)
    gain = np.dot(mixed, speech) / np.dot(speech, speech)  # all is turned down where a knock would clip
    noise = mixed / gain - speech
    measured = 20 * np.log10(active_rms(speech) / np.sqrt(np.mean(noise**2)))
    assert measured == pytest.approx(snr_db, abs=0.3)
    assert np.abs(mixed).max() <= 0.981


def test_a_topic_that_nobody_spoke_of_is_near_nothing() -> None:
    transcript = talk("is it ten or not there")
    words, sides = (quote(transcript, 3, 3),), ((0, 1), (5, 6))
    draft = Draft(
        read_by=ReadBy(vouchbook="0", language_model="none", packs=()),
        transcript=transcript,
        open_questions=(
            OpenQuestion(id="q1", kind="uncovered", start=0, end=0, about="fire", ask="?", phase=Phase.FIRE),
            OpenQuestion(id="q2", kind="doubtful", start=3, end=4, about="or", ask="?", evidence=words),
            OpenQuestion(id="q3", kind="conflict", start=0, end=6, about="a", ask="?", evidence=words, ranges=sides),
        ),
    )
    assert asked_ranges(draft) == [(3, 4), (0, 1), (5, 6)]
    assert asked_ranges(draft, frozenset({"doubtful"})) == [(3, 4)]
    assert by_chance(draft, [(3, 4)], -0.5) == (1, 6)


@pytest.mark.parametrize(
    ("at", "near"), [((0, 1), False), ((0, 3), True), ((5, 6), True), ((8, 9), True), ((8.1, 9), False)]
)
def test_near_is_two_seconds(at: tuple[float, float], near: bool) -> None:  # noqa: FBT001  a column of the table
    assert is_near(at, [(5, 6)]) is near


def test_lines_and_marks_put_right() -> None:
    said, heard = talk("Right.", "Off it, now."), talk("right of it now")
    again = in_lines_of(heard, said)
    assert [again.text(line.first_word, line.last_word) for line in again.lines] == ["right", "of it now"]
    assert with_marks_of(again, said).text(0, 3) == "Right. of it, now."
