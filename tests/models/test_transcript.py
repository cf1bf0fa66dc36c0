import pytest
from pydantic import ValidationError

from vouchbook.models.transcript import Line, Source, Transcript, Word

WORDS = tuple(Word(text=text, start_s=n, end_s=n + 1) for n, text in enumerate(["chock", "the", "rear", "wheel"]))


def line(first: int, last: int) -> Line:
    return Line(first_word=first, last_word=last, start_s=first, end_s=last + 1)


def test_text_joins_words_with_single_spaces() -> None:
    assert Transcript(words=WORDS, lines=(line(0, 3),)).text(1, 2) == "the rear"


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param((), id="no-lines"),
        pytest.param((line(0, 2),), id="a-word-outside"),
        pytest.param((line(0, 4),), id="a-word-too-many"),
        pytest.param((line(0, 1), line(1, 3)), id="a-word-twice"),
        pytest.param((line(0, 1), line(3, 3)), id="a-gap"),
        pytest.param((line(2, 3), line(0, 1)), id="out-of-order"),
    ],
)
def test_lines_hold_each_word_once_and_in_order(lines: tuple[Line, ...]) -> None:
    with pytest.raises(ValidationError, match=r"line"):
        Transcript(words=WORDS, lines=lines)


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param({"text": ""}, id="empty"),
        pytest.param({"text": "two words"}, id="a-space-inside"),
        pytest.param({"start_s": -1}, id="before-the-start"),
        pytest.param({"end_s": 0.5}, id="ends-before-it-starts"),
        pytest.param({"end_s": float("inf")}, id="never-ends"),
        pytest.param({"probability": 1.5}, id="more-than-sure"),
        pytest.param({"timing": "guessed"}, id="unknown-timing"),
    ],
)
def test_an_unsound_word_is_refused(changed: dict[str, object]) -> None:
    sound = {"text": "chock", "start_s": 1, "end_s": 2, "probability": 0.5}
    assert Word.model_validate(sound).timing == "heard"
    with pytest.raises(ValidationError):
        Word.model_validate(sound | changed)


def test_a_source_is_known_by_a_whole_hash() -> None:
    with pytest.raises(ValidationError, match="sha256"):
        Source(name="talk.vtt", sha256="0" * 63, kind="captions")


@pytest.mark.parametrize(
    ("offsets_s", "seconds", "expected"),
    [
        pytest.param((), 4, (1, 4), id="no-source"),
        pytest.param((0,), 4, (1, 4), id="one"),
        pytest.param((0, 10, 20), 4, (1, 4), id="first-of-three"),
        pytest.param((0, 10, 20), 10, (2, 0), id="at-its-beginning"),
        pytest.param((0, 10, 20), 25.5, (3, 5.5), id="last"),
        pytest.param((5, 10), 4, (1, 4), id="before-the-first"),
    ],
)
def test_the_source_that_plays_at_a_second(
    offsets_s: tuple[float, ...], seconds: float, expected: tuple[int, float]
) -> None:
    sources = tuple(
        Source(name=f"{n}.wav", sha256="a" * 64, offset_s=offset_s, kind="recording")
        for n, offset_s in enumerate(offsets_s)
    )
    assert Transcript(sources=sources).source_at(seconds) == expected
