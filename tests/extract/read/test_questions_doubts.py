"""What may have been misheard or misspoken is always asked about, whatever the rest says."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript


def weakened(transcript: Transcript, weak: int, probability: float) -> Transcript:
    """``transcript`` with all words heard well but the one at ``weak``."""
    words = tuple(
        word.model_copy(update={"probability": probability if n == weak else 0.99})
        for n, word in enumerate(transcript.words)
    )
    return transcript.model_copy(update={"words": words})


def doubts(reader: Reader, transcript: Transcript) -> list[OpenQuestion]:
    return [q for q in reader.read(transcript).open_questions if q.kind == "doubtful"]


@pytest.mark.parametrize(
    ("said", "word"),
    [
        pytest.param("Do not cut the orange cable.", 1, id="polarity"),
        pytest.param("Don't cut the orange cable.", 0, id="polarity-contracted"),
        pytest.param("Lift it only when the lamp is out.", 2, id="only"),
        pytest.param("Wait until the lamp is out.", 1, id="until"),
        pytest.param("The plug is on the left side.", 5, id="side"),
        pytest.param("Turn it clockwise.", 2, id="sense-of-rotation"),
        pytest.param("The lever has to be up.", 5, id="up-or-down"),
        pytest.param("Ten mil socket.", 0, id="number"),
        pytest.param("Ten mil socket.", 1, id="unit"),
        pytest.param("Wait fifteen minutes.", 1, id="time"),
    ],
)
@pytest.mark.parametrize("probability", [0.0, 0.3, 0.59])
def test_a_weak_word_that_carries_meaning_is_asked_about(
    reader: Reader, spoken: Callable[..., Transcript], said: str, word: int, probability: float
) -> None:
    transcript = weakened(spoken(said), word, probability)
    (question,) = doubts(reader, transcript)
    assert [(e.first_word, e.last_word) for e in question.evidence] == [(word, word)]
    around = said.split()[max(0, word - 4) : word + 5]
    assert question.ask.endswith(f"in \u201c{' '.join(around)}\u201d?")


@pytest.mark.parametrize(
    ("said", "word", "probability"),
    [
        pytest.param("Do not cut the orange cable.", 1, 0.6, id="heard-well-enough"),
        pytest.param("Do not cut the orange cable.", 5, 0.1, id="a-word-that-turns-nothing-round"),
    ],
)
def test_these_words_are_not_asked_about(
    reader: Reader, spoken: Callable[..., Transcript], said: str, word: int, probability: float
) -> None:
    assert doubts(reader, weakened(spoken(said), word, probability)) == []


def test_words_of_captions_raise_no_doubt(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    assert doubts(reader, spoken("Do not cut the orange cable.")) == []


@pytest.mark.parametrize(
    ("said", "open_size"),
    [
        pytest.param("Ten or twelve mil socket.", "Ten or twelve mil", id="across-flats"),
        pytest.param("It's T thirty or T forty.", "T thirty or T forty.", id="bit"),
    ],
)
def test_a_size_left_open_is_doubtful(
    reader: Reader, spoken: Callable[..., Transcript], said: str, open_size: str
) -> None:
    (question,) = doubts(reader, spoken(said))
    assert question.about == f"size left open: {open_size}"


@pytest.mark.parametrize(
    ("said", "about"),
    [
        pytest.param("Fourteen point five mil socket.", "unusual size: 14.5 mm", id="no-series-holds-it"),
        pytest.param("Four thousand volts in that battery.", "unusual value: 4000 V", id="voltage"),
        pytest.param("Nine hundred bar in the tank.", "unusual value: 900 bar", id="pressure"),
        pytest.param("Wait ninety minutes.", "unusual value: 90 min", id="wait"),
    ],
)
def test_an_unusual_value_is_asked_about_and_shown_as_heard(
    reader: Reader, spoken: Callable[..., Transcript], said: str, about: str
) -> None:
    draft = reader.read(spoken(said))
    assert [q.about for q in draft.open_questions if q.kind == "implausible"] == [about]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Ten mil socket.", id="usual-size"),
        pytest.param("Four hundred volts in that battery.", id="usual-voltage"),
        pytest.param("Two hundred bar in the tank.", id="usual-pressure"),
        pytest.param("Wait ten minutes.", id="usual-wait"),
        pytest.param("Nine thousand volts, no, nine hundred volts.", id="taken-back"),
    ],
)
def test_a_usual_value_is_not(reader: Reader, spoken: Callable[..., Transcript], said: str) -> None:
    assert [q for q in reader.read(spoken(said)).open_questions if q.kind == "implausible"] == []
