"""Who speaks when. The recordings are the two demonstrations: synthetic voices, a man and a woman, 185 and 148 s."""

import tracemalloc
from collections.abc import Iterator
from functools import cache
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

from vouchbook.extract.listen.captions.registry import read_captions
from vouchbook.extract.listen.media import Sound, blocks
from vouchbook.extract.listen.voice_groups import voice_centres
from vouchbook.extract.listen.voice_windows import spans_of, windows_of
from vouchbook.extract.listen.voices import change_costs, smoothest, with_voices
from vouchbook.models.errors import SettingError
from vouchbook.models.transcript import Line, Transcript, Word

DEMO = Path(__file__).parents[3] / "demo_audio"
DEMOS = ("delivery-van.ogg", "counterbalance-truck.mp4")


@cache
def recording(name: str) -> tuple[Transcript, Sound]:
    path = DEMO / name
    return read_captions(path.with_suffix(".vtt")), np.concatenate(list(blocks(path)))


def pieces(sound: Sound, size: int) -> Iterator[Sound]:
    return (sound[start : start + size] for start in range(0, sound.size, size))


def relined(transcript: Transcript, words: int) -> Transcript:
    """Lines of so many words, without regard to who speaks: as a recogniser makes them."""
    lines = []
    for first in range(0, len(transcript.words), words):
        said = transcript.words[first : first + words]
        lines.append(
            Line(
                first_word=first,
                last_word=first + len(said) - 1,
                start_s=said[0].start_s,
                end_s=max(word.end_s for word in said),
            )
        )
    return transcript.model_copy(update={"lines": tuple(lines)})


def share_right(transcript: Transcript, heard: Transcript) -> float:
    """The share of words with the right voice, names matched in the way that fits best."""
    names = sorted({str(word.voice) for word in transcript.words})
    letters = sorted({str(word.voice) for word in heard.words})
    pairs = [(word.voice, other.voice) for word, other in zip(transcript.words, heard.words, strict=True)]
    matchings = [dict(zip(names, order, strict=False)) for order in permutations(letters)]
    return max(sum(matching.get(str(name)) == letter for name, letter in pairs) for matching in matchings) / len(pairs)


@pytest.mark.sound
@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("words", [None, 12, 30], ids=["captions", "lines of 12 words", "lines of 30 words"])
def test_two_voices_are_told_apart(name: str, words: int | None) -> None:
    """The second recording has workshop noise, and 5 s drowned by it that are like neither voice."""
    transcript, sound = recording(name)
    given = transcript if words is None else relined(transcript, words)
    heard = with_voices(given, pieces(sound, 160_000), 2)
    assert share_right(transcript, heard) >= (0.99 if words is None else 0.9)
    assert heard.words[0].voice == "A"
    assert heard.notes == ()
    assert [word.model_copy(update={"voice": None}) for word in heard.words] == [
        word.model_copy(update={"voice": None}) for word in transcript.words
    ]


@pytest.mark.sound
def test_a_third_person_who_says_little_is_told_apart(clips: dict[str, Sound]) -> None:
    """A human reader after the two synthetic voices, 5 sentences in the clips of which each is one line."""
    transcript, sound = recording(DEMOS[0])
    words, lines, parts = list(transcript.words), list(transcript.lines), [sound]
    for clip in clips.values():
        start_s, length_s = sum(part.size for part in parts) / 16_000, clip.size / 16_000
        lines.append(Line(first_word=len(words), last_word=len(words) + 9, start_s=start_s, end_s=start_s + length_s))
        for tenth in range(10):
            times = (start_s + length_s * tenth / 10, start_s + length_s * (tenth + 1) / 10)
            words.append(Word(text="word", start_s=times[0], end_s=times[1], voice="Reader"))
        parts.append(clip)
    three = transcript.model_copy(update={"words": tuple(words), "lines": tuple(lines)})
    heard = with_voices(three, parts, 3)
    assert share_right(three, heard) >= 0.99
    assert letters_of(heard)[-1] == "C"


@pytest.mark.sound
def test_noise_added_to_the_quiet_recording_changes_little() -> None:
    transcript, sound = recording(DEMOS[0])
    level = float(np.sqrt(np.mean(sound**2)))
    noise = np.random.default_rng(1).normal(0, level, sound.size).astype(np.float32)  # 0 dB
    assert share_right(transcript, with_voices(transcript, pieces(sound + noise, 160_000), 2)) >= 0.9


@pytest.mark.sound
def test_the_size_of_the_blocks_does_not_matter() -> None:
    transcript, sound = recording(DEMOS[1])
    letters = [
        [word.voice for word in with_voices(transcript, pieces(sound, size), 2).words] for size in (sound.size, 5_001)
    ]
    assert letters[0] == letters[1]


def talk(*starts_s: float) -> Transcript:
    words = tuple(Word(text="word", start_s=start, end_s=start + 0.5, voice="Oda") for start in starts_s)
    lines = tuple(Line(first_word=i, last_word=i, start_s=w.start_s, end_s=w.end_s) for i, w in enumerate(words))
    return Transcript(words=words, lines=lines)


def letters_of(transcript: Transcript) -> list[str | None]:
    return [word.voice for word in transcript.words]


@pytest.mark.parametrize("count", [-1, 0, 9])
def test_a_number_of_voices_that_cannot_be_is_refused(count: int) -> None:
    with pytest.raises(SettingError) as caught:
        with_voices(talk(1, 2), iter(()), count)
    assert str(caught.value) == f"{count} voices: cannot be told apart. Give a number from 1 to 8."


def test_one_voice_needs_no_listening() -> None:
    def untouched() -> Iterator[Sound]:
        pytest.fail("the sound was read")
        yield np.zeros(0, dtype=np.float32)

    assert letters_of(with_voices(talk(1, 2), untouched(), 1)) == ["A", "A"]


@pytest.mark.parametrize(
    "sound",
    [
        pytest.param([], id="no sound"),
        pytest.param([np.zeros(64_000, dtype=np.float32)], id="digital silence"),
        pytest.param([np.full(1_600, 0.1, dtype=np.float32)], id="ends before the words"),
    ],
)
def test_without_speech_all_words_are_one_voice_and_a_note_says_so(sound: list[Sound]) -> None:
    heard = with_voices(talk(1, 2, 3), sound, 2)
    assert letters_of(heard) == ["A", "A", "A"]
    assert heard.notes == ("2 voices were asked for, 1 could be told apart.",)


def test_no_words_stay_no_words() -> None:
    assert with_voices(Transcript(), iter(()), 2) == Transcript()


def test_two_hours_are_not_held_in_memory() -> None:
    def two_hours() -> Iterator[Sound]:
        for _ in range(720):
            yield np.zeros(160_000, dtype=np.float32)

    tracemalloc.start()
    try:
        with_voices(talk(*range(5, 7200, 60)), two_hours(), 2)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 40e6  # all of it would be 461 MB


def test_progress_tells_the_seconds_gone_by() -> None:
    told: list[float] = []
    sound = [np.zeros(16_000, dtype=np.float32)] * 5
    with_voices(talk(1, 4), sound, 2, on_progress=lambda progress: told.append(progress.done_s))
    assert told == sorted(told)
    assert told[-1] == pytest.approx(5, abs=1)


CLEAR, UNCLEAR = [0.9, 0.5], [0.7, 0.7]


@pytest.mark.parametrize(
    ("likeness", "costs", "expected"),
    [
        pytest.param([CLEAR, CLEAR, CLEAR[::-1], CLEAR, CLEAR], [7] * 5, [0, 0, 0, 0, 0], id="one word inside a turn"),
        pytest.param([CLEAR, CLEAR[::-1], CLEAR], [0.5] * 3, [0, 1, 0], id="a line of one word"),
        pytest.param([CLEAR] * 3 + [CLEAR[::-1]] * 3, [7] * 6, [0, 0, 0, 1, 1, 1], id="a change inside a line"),
        pytest.param(
            [CLEAR, UNCLEAR, UNCLEAR, CLEAR[::-1]], [7, 7, 0.5, 7], [0, 0, 1, 1], id="unclear words go by lines"
        ),
        pytest.param([CLEAR], [7], [0], id="one word"),
    ],
)
def test_changes_of_voice_have_their_price(
    likeness: list[list[float]], costs: list[float], expected: list[int]
) -> None:
    assert smoothest(np.array(likeness, dtype=np.float32), costs) == expected


def test_one_clear_word_changes_the_voice_at_a_line_and_not_inside_one() -> None:
    likeness = np.array([CLEAR, CLEAR, CLEAR[::-1], CLEAR, CLEAR], dtype=np.float32)
    lines = talk(1, 1.5, 2, 2.5, 3)
    assert smoothest(likeness, change_costs(lines)) == [0, 0, 1, 0, 0]
    assert smoothest(likeness, change_costs(relined(lines, 5))) == [0, 0, 0, 0, 0]


def test_a_clear_word_after_a_pause_changes_the_voice() -> None:
    likeness = np.array([CLEAR, CLEAR, CLEAR[::-1]], dtype=np.float32)
    assert smoothest(likeness, change_costs(relined(talk(1, 1.5, 2.4), 3))) == [0, 0, 1]
    assert smoothest(likeness, change_costs(relined(talk(1, 1.5, 2.2), 3))) == [0, 0, 0]


def cloud(random: np.random.Generator, towards: int, size: int, spread: float) -> Sound:
    """Unit vectors about one axis."""
    vectors = random.normal(0, spread / 16, (size, 256))
    vectors[:, towards] += 1
    units: Sound = (vectors / np.linalg.norm(vectors, axis=1, keepdims=True)).astype(np.float32)
    return units


@pytest.mark.parametrize(
    "sizes",
    [
        pytest.param((50, 50), id="two alike"),
        pytest.param((200, 8), id="one says little"),
        pytest.param((30, 30, 30, 30), id="four"),
        pytest.param((3000, 400), id="more than can be linked at once"),
    ],
)
def test_centres_are_those_of_the_clouds(sizes: tuple[int, ...]) -> None:
    random = np.random.default_rng(3)
    vectors = np.concatenate([cloud(random, axis, size, 0.8) for axis, size in enumerate(sizes)])
    centres = voice_centres(vectors, len(sizes))
    assert sorted(np.argmax(centres, axis=1)) == list(range(len(sizes)))


def test_a_stretch_of_noise_is_no_voice() -> None:
    """Two voices that are alike by half, and a few windows that are like neither: a cut of the tree would take them."""
    random = np.random.default_rng(4)
    first, second = cloud(random, 0, 60, 0.8), cloud(random, 0, 30, 0.8)
    second[:, 1] += 1.5
    second /= np.linalg.norm(second, axis=1, keepdims=True)
    centres = voice_centres(np.concatenate([first, second, cloud(random, 9, 5, 0.3)]), 2)
    assert sorted(np.argmax(centres, axis=1)) == [0, 1]


def test_windows_cover_each_span_and_stay_inside_longer_ones() -> None:
    words = [
        Word(text="a", start_s=0.2, end_s=0.6), Word(text="b", start_s=0.7, end_s=4.0),
        Word(text="c", start_s=5.0, end_s=5.4), Word(text="d", start_s=5.5, end_s=5.9),
    ]  # fmt: skip
    lines = (
        Line(first_word=0, last_word=2, start_s=0.2, end_s=5.4),
        Line(first_word=3, last_word=3, start_s=5.5, end_s=6),
    )
    spans = spans_of(Transcript(words=tuple(words), lines=lines))
    assert [(span.first_word, span.last_word) for span in spans] == [(0, 1), (2, 2), (3, 3)]  # a pause, a line
    windows = [(window.span, round(window.start_s, 3), round(window.share, 3)) for window in windows_of(spans)]
    assert windows == [(0, 0.2, 1), (0, 0.933, 1), (0, 1.667, 1), (0, 2.4, 1), (1, 4.4, 0.25), (2, 4.9, 0.25)]
