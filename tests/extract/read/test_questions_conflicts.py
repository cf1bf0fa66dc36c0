"""Statements that cannot both be true, and pairs of values that only look like it."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript


@pytest.fixture
def conflicts(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[OpenQuestion]]:
    return lambda *said: [q for q in reader.read(spoken(*said)).open_questions if q.kind == "conflict"]


@pytest.mark.parametrize(
    ("said", "about"),
    [
        pytest.param(
            ["Give it five minutes to bleed down.", "Fine.", "Wait ten minutes before you open it."],
            "wait: 5 min or 10 min",
            id="wait",
        ),
        pytest.param(
            ["Keep everybody back thirty metres.", "Stand back fifty metres."],
            "distance in m: 30 m or 50 m",
            id="distance",
        ),
        pytest.param(
            ["There are eight airbags in it.", "You have six airbags."], "number of airbag: 8 or 6", id="number"
        ),
        pytest.param(
            ["Ada: Undo the bolts, ten mil.", "Bo: No, those are thirteen.", "Ada: Hm.", "Bo: Hm."],
            "size: 10 mm or 13 mm",
            id="size",
        ),
        pytest.param(
            ["Ada: It leaves on the left.", "Bo: No, it's the right on the older ones."],
            "side: left or right",
            id="side",
        ),
    ],
)
def test_two_statements_that_disagree_are_a_question(
    conflicts: Callable[..., list[OpenQuestion]], said: list[str], about: str
) -> None:
    (question,) = conflicts(*said)
    assert question.about == about
    spoken_by = [line.partition(": ")[2] or line for line in said]
    assert [e.quote in spoken_by for e in question.evidence] == [True, True]
    assert question.ranges == tuple((e.start_s, e.end_s) for e in question.evidence)


@pytest.mark.parametrize(
    "said",
    [
        pytest.param(["Give it five minutes to bleed down.", "Wait five minutes before you open it."], id="they-agree"),
        pytest.param(["Give it five minutes to bleed down.", "Leave it two days."], id="too-far-apart-to-be-one-thing"),
        pytest.param(["Give it five minutes, no, ten minutes to bleed down."], id="corrected-in-one-breath"),
        pytest.param(["Give it five minutes to bleed down.", "It took me ten minutes."], id="a-time-that-is-no-wait"),
        pytest.param(["Give it five minutes to bleed down.", "Do you wait ten minutes?"], id="a-question"),
        pytest.param(
            ["Keep everybody back thirty metres.", "The step is two metres up."], id="a-length-that-is-no-distance"
        ),
        pytest.param(["There are four doors.", "You open two doors."], id="of-doors-there-are-several-sets"),
        pytest.param(["Undo the bolts, ten mil.", "No, those are thirteen."], id="sizes-without-known-voices"),
        pytest.param(["Ada: Ten mil socket.", "Ada: Those are thirteen.", "Bo: Hm."], id="sizes-of-one-voice"),
        pytest.param(["It leaves on the left.", "The other lead runs to the right."], id="sides-of-two-things"),
    ],
)
def test_these_do_not_disagree(conflicts: Callable[..., list[OpenQuestion]], said: list[str]) -> None:
    assert conflicts(*said) == []
