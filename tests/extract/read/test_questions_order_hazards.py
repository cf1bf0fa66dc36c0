"""A draft whose step order a warning contradicts says so."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript


@pytest.fixture
def hazards(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[OpenQuestion]]:
    return lambda *said: [q for q in reader.read(spoken(*said)).open_questions if q.kind == "order"]


@pytest.mark.parametrize(
    ("said", "about"),
    [
        pytest.param(
            ["Open the door.", "Shut the valve.", "Never open a door before the valve is shut."],
            "order: open door, or first shut valve",
            id="before",
        ),
        pytest.param(
            ["Lift the cover.", "Put the pin in.", "Don't lift the cover until the pin is in."],
            "order: lift cover, or first put in pin",
            id="until",
        ),
        pytest.param(
            ["Open the door.", "Shut the valve.", "Before the valve is shut, nobody opens a door."],
            "order: open door, or first shut valve",
            id="the-condition-told-first",
        ),
        pytest.param(
            ["Don't lift the lid until you've unplugged the orange plug.", "Lift the lid.", "Unplug the orange plug."],
            "order: lift lid, or first unplug orange plug",
            id="the-warning-told-first",
        ),
    ],
)
def test_steps_against_a_warning_are_a_question(
    hazards: Callable[..., list[OpenQuestion]], said: list[str], about: str
) -> None:
    (question,) = hazards(*said)
    assert question.about == about
    assert sorted(e.quote for e in question.evidence) == sorted(said)


@pytest.mark.parametrize(
    "said",
    [
        pytest.param(
            ["Shut the valve.", "Open the door.", "Never open a door until the valve is shut."], id="in-order"
        ),
        pytest.param(
            ["Shut the door.", "Shut the valve.", "Never open a door until the valve is shut."], id="another-deed"
        ),
        pytest.param(
            ["Open the lid.", "Shut the valve.", "Never open a door until the valve is shut."], id="another-thing"
        ),
        pytest.param(["Open the door.", "Never open a door until it's dead."], id="no-step-makes-it-so"),
        pytest.param(
            ["Open the door.", "Shut the valve.", "You open a door before the valve is shut."], id="no-warning"
        ),
        pytest.param(["Open the door.", "Shut the valve.", "Never open a door."], id="no-condition"),
    ],
)
def test_these_steps_contradict_no_warning(hazards: Callable[..., list[OpenQuestion]], said: list[str]) -> None:
    assert hazards(*said) == []
