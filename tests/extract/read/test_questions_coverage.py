"""What nobody spoke about, and what nobody could hear, is left open for the next visit."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.phases import Phase
from vouchbook.models.transcript import Transcript, UnheardStretch


def uncovered(reader: Reader, transcript: Transcript) -> set[Phase | None]:
    return {q.phase for q in reader.read(transcript).open_questions if q.kind == "uncovered"}


def test_of_an_empty_talk_every_topic_but_the_last_is_open(reader: Reader) -> None:
    assert uncovered(reader, Transcript()) == set(Phase) - {Phase.OTHER}


@pytest.mark.parametrize(
    ("said", "phase"),
    [
        pytest.param("Chock the wheels, two chocks.", Phase.IMMOBILISE, id="immobilise"),
        pytest.param("If it's on fire, the fire burns for hours, so fight the fire with water.", Phase.FIRE, id="fire"),
    ],
)
def test_a_topic_that_is_spoken_of_is_covered(
    reader: Reader, spoken: Callable[..., Transcript], said: str, phase: Phase
) -> None:
    assert phase not in uncovered(reader, spoken(*[said] * 3))


def test_a_topic_named_in_passing_is_not_covered(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    assert Phase.SUBMERSION in uncovered(reader, spoken("Press the grey button."))


def test_each_unheard_stretch_is_a_question_at_its_seconds(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    stretches = (
        UnheardStretch(start_s=1, end_s=2, reason="no words"),
        UnheardStretch(start_s=3, end_s=9, reason="unlikely words"),
    )
    transcript = spoken("Press the grey button.").model_copy(update={"unheard": stretches, "duration_s": 9.0})
    found = [q for q in reader.read(transcript).open_questions if q.kind == "unheard"]
    assert [(q.start, q.end, q.about) for q in found] == [
        (1, 2, "1 s with no words"),
        (3, 9, "6 s with unlikely words"),
    ]
