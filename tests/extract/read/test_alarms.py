"""Signs at which people get away, and deeds that are told only for what goes wrong."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import CueItem, StepItem, WarningItem
from vouchbook.models.transcript import Transcript


@pytest.mark.parametrize(
    ("said", "action", "who", "condition"),
    [
        pytest.param("If the rope sings, get out.", "get out", "", "if the rope sings", id="get-out"),
        pytest.param("When it starts to hiss, run.", "run", "", "when it starts to hiss", id="run"),
        pytest.param(
            "If anybody hears popping, everybody back.", "get back", "everybody", "if anybody hears popping", id="back"
        ),
        pytest.param("You hear the bell, you go out.", "go out", "", "you hear the bell", id="you-hear"),
    ],
)
def test_a_sign_with_what_to_do_is_a_step_with_its_condition_and_a_cue(
    reader: Reader, spoken: Callable[..., Transcript], said: str, action: str, who: str, condition: str
) -> None:
    draft = reader.read(spoken(said))
    (step,) = [item for item in draft.items if isinstance(item, StepItem)]
    assert (step.action, step.object, (step.condition or "").lower()) == (action, who, condition)
    assert [item.kind for item in draft.items if isinstance(item, CueItem)] == ["cue"]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("When you're done, come and see me.", id="no-sign"),
        pytest.param("If it hisses, don't run.", id="forbidden"),
        pytest.param("If the lamp glows, that's the charger.", id="nobody-gets-away"),
    ],
)
def test_these_send_nobody_away(reader: Reader, spoken: Callable[..., Transcript], said: str) -> None:
    assert not [
        i for i in reader.read(spoken(said)).items if isinstance(i, StepItem) and i.action in {"run", "get out"}
    ]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("You yank that pin and the weight drops on you.", id="drops-on-you"),
        pytest.param("You slam a valve in oxygen and it burns.", id="burns"),
        pytest.param("Crack that joint and you're wearing it.", id="you're-wearing-it"),
        pytest.param(
            "You short it with a spanner, it'll weld the spanner to your hand and burn you.", id="without-and"
        ),
    ],
)
def test_a_deed_told_for_what_goes_wrong_warns_and_is_no_step(
    reader: Reader, spoken: Callable[..., Transcript], said: str
) -> None:
    items = reader.read(spoken(said)).items
    assert not [item for item in items if isinstance(item, StepItem)]
    (warning,) = [item for item in items if isinstance(item, WarningItem)]
    assert warning.text.rstrip(".") == said.rstrip(".")[0].lower() + said.rstrip(".")[1:]


@pytest.mark.parametrize(
    ("said", "action"),
    [
        pytest.param("Pull the pin and the flap comes down.", "pull", id="what-it-is-for"),
        pytest.param("Lift the bar and stand back.", "lift", id="another-order"),
        pytest.param("Press the knob, gently, and wait.", "press", id="told-with-care"),
    ],
)
def test_a_deed_with_its_outcome_stays_a_step(
    reader: Reader, spoken: Callable[..., Transcript], said: str, action: str
) -> None:
    assert action in [item.action for item in reader.read(spoken(said)).items if isinstance(item, StepItem)]
