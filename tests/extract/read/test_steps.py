"""What becomes a step, in which words; and what must not."""

from collections.abc import Callable
from typing import Any

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import StepItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def steps(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[StepItem]]:
    def found(*said: str) -> list[StepItem]:
        return [item for item in reader.read(spoken(*said)).items if isinstance(item, StepItem)]

    return found


TOLD = [
    # said, action, object, what else it tells
    pytest.param("Press the grey button.", "press", "grey button", {}, id="an-order"),
    pytest.param("Then you turn the handle to zero.", "turn", "handle", {"place": "to zero"}, id="what-you-do"),
    pytest.param("The cover has to come off.", "take off", "cover", {}, id="what-has-to-be-done"),
    pytest.param("The lever goes across.", "turn across", "lever", {}, id="where-it-goes"),
    pytest.param("Lid off.", "take off", "lid", {}, id="a-state-that-is-wanted"),
    pytest.param("Outer doors you just pull.", "pull", "outer doors", {}, id="the-thing-told-first"),
    pytest.param(
        "There's a gas cartridge in the post, so cut below the latch.",
        "cut",
        "below the latch",
        {},
        id="what-is-cut-is-never-guessed",
    ),
    pytest.param(
        "Leave the blue one plugged in until the fan stops.",
        "leave",
        "blue one plugged in until the fan stops",
        {},
        id="how-it-is-left-and-how-long",
    ),
    pytest.param("Pull the lever until it hisses.", "pull", "lever until it hisses", {}, id="until-what"),
    pytest.param("Push the rear doors in.", "push in", "rear doors", {}, id="particle-behind-the-thing"),
    pytest.param("Press the button under the seat.", "press", "button", {"place": "under the seat"}, id="place"),
    pytest.param("Unclip it, behind the seat.", "unclip", "it", {"place": "behind the seat"}, id="place-in-a-clause"),
    pytest.param(
        "Pull the lever out eight, no sorry, five centimetres.",
        "pull",
        "lever",
        {"place": "out five centimetres"},
        id="a-corrected-distance",
    ),
    pytest.param("Slide the tray an inch forward.", "slide", "tray", {"place": "an inch forward"}, id="how-far"),
    pytest.param("Undo the three bolts.", "undo", "three bolts", {"count": 3}, id="count"),
    pytest.param("Look for the green lamp.", "look", "for the green lamp", {}, id="words-behind-look-told-whole"),
    pytest.param(
        "Undo the nut with a ten mil spanner.",
        "undo",
        "nut",
        {"tool": "ten mil spanner", "size": "10 mm"},
        id="tool-and-size",
    ),
    pytest.param(
        "If the vehicle is upside down, cut the strap.",
        "cut",
        "strap",
        {"condition": "if the vehicle is upside down"},
        id="condition-before",
    ),
    pytest.param(
        "Cut the strap once the lamp is out.",
        "cut",
        "strap",
        {"condition": "once the lamp is out"},
        id="condition-after",
    ),
    pytest.param("Two chocks on the front axle.", "chock", "front axle", {"count": 2}, id="chocks-without-a-verb"),
    pytest.param(
        "Chocks, either side of the front wheel.",
        "chock",
        "front wheel",
        {"place": "side of the front wheel"},
        id="what-the-place-is-a-place-of",
    ),
    pytest.param("And a padlock.", "put on", "padlock", {}, id="a-lock-alone"),
    pytest.param("It hangs on four bolts.", "remove", "bolts", {"count": 4}, id="fasteners-counted"),
    pytest.param(
        "The cover is held by one clip at the back.",
        "remove",
        "clip of cover",
        {"place": "at the back"},
        id="fasteners-that-hold",
    ),
    pytest.param("Then the gloves, class one.", "put on", "gloves", {}, id="equipment-to-be-worn"),
    pytest.param("Now five minutes, by the clock.", "wait", "five minutes", {}, id="a-time-alone"),
    pytest.param("On a low loader, all wheels up.", "load", "it", {"place": "on a low loader"}, id="what-carries-it"),
]


@pytest.mark.parametrize(("said", "action", "thing", "also"), TOLD)
def test_a_step_is_told(
    steps: Callable[..., list[StepItem]], said: str, action: str, thing: str, also: dict[str, Any]
) -> None:
    (step,) = steps(said)
    assert (step.action, step.object) == (action, thing)
    assert {name: getattr(step, name) for name in also} == also


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Don't touch the orange cable.", id="forbidden"),
        pytest.param("Never cut it, or grind it.", id="or-carries-a-negation-on"),
        pytest.param("Don't put a rope on and pull.", id="and-carries-a-negation-on"),
        pytest.param("Do not cut the strap and lift the cover.", id="and-with-a-thing-carries-it-on"),
        pytest.param("Nobody opens the lid.", id="nobody"),
        pytest.param("You mustn't lean on the glass, and don't touch the rail either.", id="twice"),
        pytest.param("Don't, whatever you do, lift it there.", id="the-deed-told-after-a-break"),
        pytest.param("You must never, ever, cut that strap.", id="never-ever"),
        pytest.param("No gloves near the shaft.", id="no-equipment"),
        pytest.param("No chocks on the rear axle.", id="no-chocks"),
        pytest.param("No padlock on it.", id="no-lock"),
        pytest.param("No flat bed.", id="not-carried-off-by"),
        pytest.param("Not from the side.", id="not-that-way"),
        pytest.param("So it can't spring back and touch the rail.", id="what-cannot-happen"),
        pytest.param("That's not a rail.", id="not-what-it-looks-like"),
        pytest.param("Do you press the button?", id="a-question"),
        pytest.param("You don't need a key.", id="what-is-not-needed"),
        pytest.param("No need to lift the cover.", id="no-need"),
        pytest.param("You nick that hose and you've a spray in your face.", id="supposed-for-the-harm-of-it"),
        pytest.param(
            "You undo that cap quick and you wear it.", id="supposed-and-what-comes-of-it-in-the-form-of-a-deed"
        ),
        pytest.param("Put it out with the gas on and it finds you.", id="what-comes-of-it-finds-you"),
        pytest.param("Put a wrench on it and the spindle snaps.", id="supposed-for-what-it-breaks"),
        pytest.param("It's okay, hang on.", id="said-to-each-other"),
        pytest.param("Do the thing.", id="too-vague"),
        pytest.param("He had gloves on.", id="told-of-the-past"),
        pytest.param("I was there ten minutes ago.", id="a-time-that-is-no-wait"),
        pytest.param("Use a ten mil socket.", id="a-tool-taken-up"),
        pytest.param("The thud is the relay.", id="a-statement"),
        pytest.param("We're recording now, and thank you for the coffee.", id="small-talk"),
    ],
)
def test_no_step_is_made_of(steps: Callable[..., list[StepItem]], said: str) -> None:
    assert steps(said) == []


def test_a_pause_ends_what_a_negation_covers(steps: Callable[..., list[StepItem]]) -> None:
    (step,) = steps("Don't touch it, and press the button.")
    assert (step.action, step.object) == ("press", "button")


def test_a_negation_covers_its_own_sentence_only(steps: Callable[..., list[StepItem]]) -> None:
    (step,) = steps("Don't cut the strap or the belt. Lift the cover.")
    assert (step.action, step.object) == ("lift", "cover")


def test_a_condition_covers_the_steps_after_it_and_none_before(steps: Callable[..., list[StepItem]]) -> None:
    assert [(s.action, s.condition) for s in steps("Pull the lever. And if it jams, push it.")] == [
        ("pull", None),
        ("push", "if it jams"),
    ]
    both = steps("If it rolls, press the button, then pull the lever.")
    assert [s.condition for s in both] == ["if it rolls", "if it rolls"]


@pytest.mark.parametrize(
    ("said", "condition"),
    [
        pytest.param(
            "Not until the arm is free. Unless there's an oil fire, then isolate straight away.",
            "if there's an oil fire",
            id="an-exception-to-what-was-held-back",
        ),
        pytest.param("Unless the lamp is out, press the button.", "Unless the lamp is out", id="as-it-is-said"),
    ],
)
def test_unless_behind_a_prohibition_says_when_it_is_done(
    steps: Callable[..., list[StepItem]], said: str, condition: str
) -> None:
    (step,) = steps(said)
    assert (step.condition or "").lower() == condition.lower()
    assert step.action in {"isolate", "press"}


def test_the_condition_may_be_what_was_asked(steps: Callable[..., list[StepItem]]) -> None:
    (step,) = steps("And what if the bonnet can't be reached?", "Pull the second cable.")
    assert step.condition == "if the bonnet can't be reached"


def test_a_pronoun_takes_the_thing_named_before_and_its_words_as_evidence(
    steps: Callable[..., list[StepItem]],
) -> None:
    step = steps("Find the red lever. Pull it.")[-1]
    assert (step.action, step.object) == ("pull", "red lever")
    assert [evidence.quote for evidence in step.evidence] == ["Pull it.", "the red lever."]


def test_the_side_to_come_from_answers_how_to_walk_up(steps: Callable[..., list[StepItem]]) -> None:
    (step,) = steps(
        "Ada: How do I walk up to it?", "Bo: From the front corner.", "Ada: And what then?", "Bo: Nothing.",
        "Ada: Is that all?", "Bo: That's all.",
    )  # fmt: skip
    assert (step.action, step.object) == ("approach", "from the front corner")


def test_who_asks_gives_no_step(steps: Callable[..., list[StepItem]]) -> None:
    talk = ("Ada: Press the button. What next?", "Bo: Yes.", "Ada: And what then?", "Bo: Fine.", "Ada: Why?", "Bo: So.")
    assert steps(*talk) == []
