"""What raises and lowers the confidence in an item, and that each lowering says why."""

from typing import Any

import pytest

from vouchbook.extract.read.confidence import confidence
from vouchbook.extract.read.found import Found
from vouchbook.models.evidence import quote
from vouchbook.models.transcript import Line, Transcript, Word


def heard(*probabilities: float | None) -> Transcript:
    words = tuple(Word(text=f"w{n}", start_s=n, end_s=n + 1, probability=p) for n, p in enumerate(probabilities))
    line = Line(first_word=0, last_word=len(words) - 1, start_s=0, end_s=len(words))
    return Transcript(words=words, lines=(line,), duration_s=len(words))


def score(transcript: Transcript, *, is_repaired: bool = False, **changes: Any) -> tuple[float, tuple[str, ...]]:  # noqa: ANN401
    found = Found("step", 0, 2, 0, {"action": "lift", "object": "lid"}, 0.9, ("said as an order",)).with_(**changes)
    evidence = (quote(transcript, 0, len(transcript.words) - 1),)
    return confidence(found, evidence, transcript, is_repaired=is_repaired)


def test_words_that_no_recogniser_weighed_leave_it_as_plain_as_it_was_said() -> None:
    assert score(heard(None, None)) == (0.9, ("said as an order",))


def test_words_heard_with_certainty_change_nothing() -> None:
    assert score(heard(1.0, 1.0))[0] == 0.9


def test_weak_words_lower_it_and_say_how_many() -> None:
    value, reasons = score(heard(0.2, 1.0))
    assert value == pytest.approx(0.9 * (0.5 + 0.5 * 0.6), abs=0.005)
    assert reasons[-1] == "1 of 2 words were hard to hear"


def test_a_step_done_to_nothing_is_worth_less() -> None:
    value, reasons = score(heard(None, None), fields={"action": "wait", "object": ""})
    assert value == 0.72
    assert reasons[-1] == "what it is done to was not said"


def test_a_name_told_by_its_sound_is_worth_less() -> None:
    value, reasons = score(heard(None, None), is_repaired=True)
    assert value == 0.81
    assert reasons[-1] == "a name was told by its sound, see the quote"


def test_what_is_said_again_is_worth_more_but_never_certain() -> None:
    assert score(heard(None, None), also=((3, 4),))[0] == 0.92
    assert score(heard(None, None), also=((3, 4),) * 20)[0] == 0.97


def test_what_its_speaker_doubts_is_never_sure() -> None:
    found = Found("step", 0, 2, 0, {"action": "lift", "object": "lid"}, 0.9, ("said as an order",))
    transcript = heard(None, None)
    value, reasons = confidence(found, (quote(transcript, 0, 1),), transcript, is_repaired=False, unsure="not sure")
    assert value == 0.55
    assert reasons[-1] == "the speaker was not sure: \u201cnot sure\u201d"


def test_each_reason_stands_once() -> None:
    assert score(heard(None, None), reasons=("a", "b", "a"))[1] == ("a", "b")
