"""Procedure order: a step told late that comes first stands first; everything else stands as told."""

from collections.abc import Callable, Sequence

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import StepItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def order(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[str]]:
    """The steps of a talk in the order of the draft, as deed and thing."""

    def found(*said: str) -> list[str]:
        items = reader.read(spoken(*said)).items
        return [f"{item.action} {item.object}" for item in items if isinstance(item, StepItem)]

    return found


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        pytest.param(
            ["Open the door.", "Press the button.", "And before you do anything, chock the wheels."],
            ["chock wheels", "open door", "press button"],
            id="before-anything",
        ),
        pytest.param(
            ["Lift the cover.", "Before that, put on the gloves."], ["put on gloves", "lift cover"], id="before-that"
        ),
        pytest.param(
            [
                "Undo the bolts.",
                "Lift the cover.",
                "Press the button.",
                "Oh, and before the cover comes off, wait ten minutes.",
            ],
            ["undo bolts", "wait ten minutes", "lift cover", "press button"],
            id="before-a-thing-that-is-named",
        ),
        pytest.param(
            ["Press the button.", "Turn the key.", "Before you turn the key, chock the wheels."],
            ["press button", "chock wheels", "turn key"],
            id="before-a-deed-that-is-named",
        ),
        pytest.param(
            ["Before you open the door, press the button.", "Open the door."],
            ["press button", "open door"],
            id="told-in-order",
        ),
        pytest.param(["Open the door.", "But he left before that."], ["open door"], id="nothing-to-move"),
        pytest.param(
            ["Open the door.", "Press the button.", "Turn the key."],
            ["open door", "press button", "turn key"],
            id="as-told",
        ),
    ],
)
def test_steps_stand_in_the_order_of_the_procedure(
    order: Callable[..., list[str]], said: Sequence[str], expected: Sequence[str]
) -> None:
    assert order(*said) == expected


def test_a_warning_moves_no_step_before_what_it_waits_for(order: Callable[..., list[str]]) -> None:
    said = ("Shut the valve.", "Open the door. Never open the door before the valve is shut.")
    assert order(*said) == ["shut valve", "open door"]
