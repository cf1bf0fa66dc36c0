"""Yes against no, two places, two orders, two waits in other words; and talk that only looks like it."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript

Conflicts = Callable[..., list[OpenQuestion]]


@pytest.fixture
def conflicts(reader: Reader, spoken: Callable[..., Transcript]) -> Conflicts:
    return lambda *said: [q for q in reader.read(spoken(*said)).open_questions if q.kind == "conflict"]


@pytest.mark.parametrize(
    ("said", "about"),
    [
        pytest.param(
            ["Ada: You can leave it plugged in.", "Bo: No, unplug it first.", "Ada: Hm.", "Bo: Hm."],
            "yes or no: you can leave it plugged in", id="another-voice-refuses",
        ),
        pytest.param(
            ["You can touch the busbar cover.", "Fine.", "Lift the lid.", "Never touch the busbar cover."],
            "yes or no: you can touch the busbar cover", id="allowed-then-forbidden",
        ),
        pytest.param(
            ["There's no need to earth the rail.", "Fine.", "You must earth the rail."],
            "yes or no: there's no need to earth the rail", id="waived-then-demanded",
        ),
        pytest.param(
            ["The isolator is behind the left door.", "Fine.", "The isolator's on the right hand side by the motor."],
            "place of isolator: left or right", id="two-places",
        ),
        pytest.param(
            ["Drain it before you isolate.", "Fine.", "Isolate, then drain."],
            "order: first drain or first isolate", id="before-then",
        ),
        pytest.param(
            ["Isolate it, then drain the tank.", "Fine.", "Never isolate it before you drain the tank."],
            "order: first isolate or first drain", id="an-order-forbidden",
        ),
        pytest.param(
            ["Wait five minutes for the capacitors.", "Leave the axle two minutes to cool.", "Fine.",
             "Give it ten minutes to bleed down."],
            "wait: 5 min or 10 min", id="waits-for-one-thing-in-other-words",
        ),
    ],
)  # fmt: skip
def test_what_cannot_both_be_right_is_a_question(conflicts: Conflicts, said: list[str], about: str) -> None:
    (question,) = conflicts(*said)
    assert question.about == about
    spoken_by = [line.partition(": ")[2] or line for line in said]
    assert [e.quote in spoken_by for e in question.evidence] == [True, True]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param(["You can open the hatch once it's dead.", "Never open the hatch."], id="on-a-condition"),
        pytest.param(["You can touch the busbar cover.", "Never touch the busbar."], id="of-two-things"),
        pytest.param(["Ada: You can leave it plugged in.", "Bo: No, it's fine."], id="a-no-that-agrees"),
        pytest.param(
            ["Ada: You can leave it plugged in.", "Bo: Is it charging?", "Ada: No, lift the flap."], id="an-answer"
        ),
        pytest.param(["You can leave it plugged in, no, unplug it first."], id="corrected-in-one-breath"),
        pytest.param(["Can you touch the rail?", "Never touch the rail."], id="a-question"),
        pytest.param(
            ["There are two isolators.", "The isolator is behind the left door.", "The isolator is on the right wall."],
            id="two-of-them",
        ),
        pytest.param(
            ["The isolator is behind the left door.", "The other isolator is on the right wall."], id="the-other"
        ),
        pytest.param(["The isolator is behind the left door, no, the right door."], id="place-corrected"),
        pytest.param(
            ["The isolator is behind the left door.", "On the older ones the isolator is on the right wall."],
            id="older-machines",
        ),
        pytest.param(
            ["The isolator is behind the left door.", "The isolator is by the motor."], id="two-places-that-may-be-one"
        ),
        pytest.param(
            ["Open the valve, then shut the door.", "Shut the valve, then open the door."], id="deeds-on-other-things"
        ),
        pytest.param(["Isolate, then drain.", "Drain it before you go home."], id="another-deed"),
        pytest.param(
            ["Isolate it, then drain the tank.", "Never drain the tank before you isolate it."], id="orders-that-agree"
        ),
        pytest.param(
            ["Wait five minutes for the capacitors.", "Leave the axle two minutes to cool.",
             "Wait ten minutes for the tank to vent."],
            id="waits-for-three-things",
        ),
    ],
)  # fmt: skip
def test_these_can_both_be_right(conflicts: Conflicts, said: list[str]) -> None:
    assert conflicts(*said) == []
