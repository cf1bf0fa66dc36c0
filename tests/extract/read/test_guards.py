"""Which steps a warning guards, in plain talk, and that it stands before the first of them."""

from collections.abc import Callable, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vouchbook.extract.read.branches import with_branches
from vouchbook.extract.read.found import Placed
from vouchbook.extract.read.guards import with_guards
from vouchbook.extract.read.order import in_procedure_order
from vouchbook.extract.read.pipeline import Reader, by_rules
from vouchbook.extract.read.talk import Talk
from vouchbook.models.draft import Draft
from vouchbook.models.items import StepItem, WarningItem
from vouchbook.models.phases import Phase
from vouchbook.models.transcript import Transcript


@pytest.fixture
def read(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., Draft]:
    def draft(*said: str) -> Draft:
        return reader.read(spoken(*said))

    return draft


def guarded(draft: Draft) -> list[list[str]]:
    """For each warning the steps that it guards, as deed and thing."""
    steps = {item.id: f"{item.action} {item.object}" for item in draft.items if isinstance(item, StepItem)}
    return [[steps[step] for step in item.guards] for item in draft.items if isinstance(item, WarningItem)]


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        pytest.param(
            ["Ada: Undo the strap.", "Ada: Lift the battery lid.", "Ada: The battery lid will crush your fingers."],
            ["lift battery lid"],
            id="the-same-thing",
        ),
        pytest.param(
            ["Ada: Turn the drain cock.", "Ada: The isolation cock, that one is still live."],
            [],
            id="another-thing-of-that-noun",
        ),
        pytest.param(
            ["Ada: Turn the drain cock.", "Ada: That is still under pressure."],
            ["turn drain cock"],
            id="told-behind-and-points-back",
        ),
        pytest.param(
            ["Ada: Four hundred volts sitting in there.", "Ada: So put the gloves on."],
            ["put on gloves"],
            id="the-step-draws-the-conclusion",
        ),
        pytest.param(
            [
                "Ada: Pull the orange plug.",
                "Ada: Press the grey button.",
                "Ada: Turn the key.",
                "Ada: Open the door.",
                "Ada: Never pull the plug with the lamp lit.",
            ],
            ["pull orange plug"],
            id="the-deed-that-it-forbids",
        ),
        pytest.param(
            [
                "Ada: Lift the mast.",
                "Ada: Press the button.",
                "Ada: Mind your head when you lift the mast.",
            ],
            ["lift mast"],
            id="when-you-do-it",
        ),
        pytest.param(
            ["Ada: Press the button.", "Ada: Undo the clip slowly, because it's under pressure."],
            ["undo clip"],
            id="told-in-one-sentence",
        ),
        pytest.param(
            ["Ada: Turn the key.", "Ada: Press the button. That thing's still live."],
            ["press button"],
            id="told-together",
        ),
        pytest.param(
            ["Ada: Press the button.", "Ada: Stay well back from it all, that could kill you."],
            [],
            id="about-everything",
        ),
        pytest.param(
            [
                "Ada: Press the grey button.",
                "Bo: What about the roof?",
                "Ada: There is a lot up there.",
                "Bo: And in the nose?",
                "Ada: Four hundred volts sitting in there.",
            ],
            [],
            id="another-matter-was-asked-about-in-between",
        ),
    ],
)
def test_a_warning_guards_the_steps_that_the_talk_ties_it_to(
    read: Callable[..., Draft], said: Sequence[str], expected: list[str]
) -> None:
    assert guarded(read(*said)) == [expected]


def test_a_warning_told_late_stands_before_the_first_step_that_it_guards(read: Callable[..., Draft]) -> None:
    draft = read(
        "Ada: Press the grey button.",
        "Ada: Undo the battery lid.",
        "Ada: Lift the battery lid.",
        "Ada: The battery lid will crush your fingers.",
    )
    assert [item.kind for item in draft.items if item.kind != "location"] == ["step", "warning", "step", "step"]
    assert guarded(draft) == [["undo battery lid", "lift battery lid"]]
    starts = [item.start for item in draft.items if isinstance(item, StepItem)]
    assert starts == sorted(starts)


def test_a_warning_that_guards_nothing_stands_where_it_is_told(read: Callable[..., Draft]) -> None:
    draft = read("Ada: Press the button.", "Ada: Stay back from it all, that could kill you.", "Ada: Turn the key.")
    assert [item.kind for item in draft.items] == ["step", "warning", "step"]
    assert guarded(draft) == [[]]


def test_a_prohibition_that_waits_for_another_deed_guards_the_deed_it_forbids(read: Callable[..., Draft]) -> None:
    draft = read(
        "Ada: Shut the valve.", "Ada: Then there is a long pipe.", "Ada: Open the door.",
        "Ada: Never open the door before the valve is shut.",
    )  # fmt: skip
    assert guarded(draft) == [["open door"]]


LINES = (
    "Press the grey button.", "Undo the battery lid.", "Lift the battery lid.", "Turn the drain cock.",
    "The battery lid will crush your fingers.", "Never lift the lid.", "It's still live.", "Don't touch the cock.",
    "If that fails, cut the loop.", "If the lid is stuck, pull the red handle.", "So put the gloves on.",
    "Stay back from it all, that could kill you.", "Mind your head when you lift the lid.", "Okay.",
)  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(lines=st.lists(st.sampled_from(LINES), max_size=12))
def test_no_warning_is_lost_and_steps_keep_their_order(understand: Callable[..., Talk], lines: list[str]) -> None:
    """Whatever is said, the same items stand there, each warning before the first step that it guards."""
    talk = understand(*(f"Ada: {line}" for line in lines))
    found = [each for of_kind in by_rules(talk).values() for each in of_kind]
    told = [Placed(each, Phase.OTHER) for each in in_procedure_order(talk, found)]
    tied = with_guards(talk, with_branches(talk, told))
    assert len(tied) == len(told)
    assert all(any(each.found is other.found for other in tied) for each in told)
    steps = [[each.found for each in placed if each.found.kind == "step"] for placed in (told, tied)]
    assert all(one is other for one, other in zip(*steps, strict=True))
    for place, each in enumerate(tied):
        assert all(tie.step > place and tied[tie.step].found.kind == "step" for tie in each.guards)
        replaced = each.branch.instead_of if each.branch else ()
        assert all(tie.step < place and tied[tie.step].found.kind == "step" for tie in replaced)
