"""Which steps are told as the other way, and what they replace, in plain talk."""

from collections.abc import Callable, Sequence

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import StepItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def ways(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[tuple[str, str, list[str]]]]:
    """The steps of branches in order: the step, its label, and the steps that it replaces."""

    def found(*said: str) -> list[tuple[str, str, list[str]]]:
        steps = {item.id: item for item in reader.read(spoken(*said)).items if isinstance(item, StepItem)}
        told = {key: f"{step.action} {step.object}" for key, step in steps.items()}
        return [
            (told[key], step.branch, [told[other] for other in step.instead_of])
            for key, step in steps.items()
            if step.branch is not None
        ]

    return found


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        pytest.param(
            ["Ada: Press the grey button.", "Ada: If that fails, cut the loop."],
            [("cut loop", "if that fails", ["press grey button"])],
            id="if-that-fails",
        ),
        pytest.param(
            ["Ada: Close the valve by the door.", "Ada: If that fails, there's the street valve."],
            [("use street valve", "if that fails", ["close valve"])],
            id="what-is-there-then-is-used",
        ),
        pytest.param(
            ["Ada: Turn the valve.", "Ada: If that's stiff, use a pipe wrench."],
            [("use pipe wrench", "if that's stiff", ["turn valve"])],
            id="another-tool-keeps-its-condition",
        ),
        pytest.param(
            ["Ada: Press the grey button.", "Ada: Open the flap.", "Ada: If the button's dead, cut the loop."],
            [("cut loop", "if the button's dead", ["press grey button"])],
            id="the-thing-is-named",
        ),
        pytest.param(
            ["Ada: Turn the key.", "Ada: Pull the pin.", "Ada: Failing that, cut the loop."],
            [("cut loop", "failing that", ["pull pin"])],
            id="failing-that",
        ),
        pytest.param(
            ["Ada: Pull the red handle.", "Ada: If you can't get at it, press the button."],
            [("press button", "if you can't get at it", ["pull red handle"])],
            id="out-of-reach",
        ),
        pytest.param(
            ["Ada: Press the grey button.", "Bo: And if the button's dead?", "Ada: Cut the loop."],
            [("cut loop", "if the button's dead", ["press grey button"])],
            id="asked-and-answered",
        ),
        pytest.param(
            ["Ada: Pull the pin.", "Ada: If that fails, open the flap. Cut the loop. Now turn the key."],
            [("open flap", "if that fails", ["pull pin"]), ("cut loop", "if that fails", ["pull pin"])],
            id="until-the-talk-leaves-it",
        ),
        pytest.param(
            ["Ada: Pull the pin.", "Ada: Cut the loop if that doesn't work."],
            [("cut loop", "if that doesn't work", ["pull pin"])],
            id="told-behind",
        ),
        pytest.param(
            ["Ada: Press the grey button.", "Ada: Hold the button.", "Ada: If the button does nothing, cut the loop."],
            [("cut loop", "if the button does nothing", ["press grey button", "hold button"])],
            id="two-steps-on-one-thing",
        ),
        pytest.param(
            ["Ada: Press the button.", "Ada: Check the lamp.", "Ada: If that fails, cut the loop."],
            [("cut loop", "if that fails", ["press button"])],
            id="a-check-is-not-what-is-replaced",
        ),
        pytest.param(
            ["Ada: Press the button.", "Ada: If it's raining, open the flap."], [], id="a-condition-is-no-failure"
        ),
        pytest.param(
            ["Ada: Press the button.", "Ada: If she's stuck high, open the flap."], [], id="the-state-of-the-machine"
        ),
        pytest.param(["Ada: If that fails, cut the loop."], [], id="nothing-to-replace"),
        pytest.param(
            ["Ada: Press the button.", "Ada: If the mast is jammed, lift the flap."], [], id="the-thing-has-no-step"
        ),
        pytest.param(
            ["Ada: Press the button.", "Ada: If it doesn't stop, don't open the door."], [], id="a-prohibition"
        ),
    ],
)
def test_the_other_way_and_what_it_replaces(
    ways: Callable[..., list[tuple[str, str, list[str]]]],
    said: Sequence[str],
    expected: list[tuple[str, str, list[str]]],
) -> None:
    assert ways(*said) == expected
