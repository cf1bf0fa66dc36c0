"""Which size and which number belong to which step, however far apart and by whomever they are told."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.draft import Draft
from vouchbook.models.items import StepItem, ToolItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def draft(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., Draft]:
    return lambda *said: reader.read(spoken(*said))


def step_of(draft: Draft, word: str) -> StepItem:
    return next(item for item in draft.items if isinstance(item, StepItem) and word in item.object)


@pytest.mark.parametrize(
    ("said", "word", "count", "size"),
    [
        pytest.param(
            ("Ole: Undo the bolts on the gearbox lid.", "Mina: What size is that?", "Ole: Thirteen.",
             "Mina: And how many?", "Ole: Four of 'em, two each side."),
            "bolts", 4, "13 mm", id="size-and-number-asked-for",
        ),
        pytest.param(
            ("Tess: Put wedges under the front wheel.", "Marl: How many?", "Tess: Ten, sorry, two."),
            "wedges", 2, None, id="answer-corrected",
        ),
        pytest.param(("Take out these screws. Two here, one down there.",), "screws", 3, None, id="pointed-out"),
        pytest.param(
            ("Take out these screws. Two here at the table, one down there by the door.",),
            "screws",
            3,
            None,
            id="with-places",
        ),
        pytest.param(
            ("Then the clips, two here and one at the back. Pull them off.",), "clips", 3, None, id="before"
        ),
        pytest.param(("Undo the clips on the flap. Two on each side.",), "clips", None, None, id="share"),
        pytest.param(("Undo the bolts, two each end.",), "bolts", None, None, id="share-in-the-sentence"),
        pytest.param(("Prop the car on both sides.",), "car", None, None, id="both-sides"),
        pytest.param(("Put on cut 5 gloves.",), "gloves", None, None, id="a-class-counts-nothing"),
        pytest.param(("Release both catches.",), "catches", 2, None, id="both"),
        pytest.param(("Chock the rear wheels with a pair of chocks.",), "wheels", 2, None, id="a-pair-of-chocks"),
        pytest.param(
            ("A seat. Four bolts hold it, all of them eighteens.",), "bolts", 4, "18 mm", id="sizes-in-the-plural"
        ),
        pytest.param(
            ("Slacken the gland nut.", "A: What does it take?", "B: Nineteen, no, that's the flange. Seventeen."),
            "nut", None, "17 mm", id="taken-back-as-another-thing's",
        ),
        pytest.param(
            ("Remove the two screws.", "B: T twenty, no, twenty's the lid. T twenty five."),
            "screws", 2, "T25", id="said-again-of-another-thing",
        ),
        pytest.param(
            ("Take the two bolts out of the hinge.", "A: Seventeen?", "B: Seventeen is for the seat. Nineteen."),
            "bolts", 2, "19 mm", id="the-other-voice-was-wrong",
        ),
        pytest.param(
            ("Slacken the nut.", "A: What size?", "B: Half inch, nope, let me look. Nine sixteenths."),
            "nut", None, "9/16 in", id="looked-again",
        ),
        pytest.param(("Hold the bolts with thirty-odd kilos.",), "bolts", None, None, id="a-mass-is-no-number"),
        pytest.param(("Undo the two screws, cross head, number two.",), "screws", 2, "PH2", id="cross-head"),
        pytest.param(("Put a padlock on, eight millimetre shackle.",), "padlock", None, "8 mm", id="shackle-of-a-lock"),
    ],
)  # fmt: skip
def test_a_step_has_its_values(
    draft: Callable[..., Draft], said: tuple[str, ...], word: str, count: int | None, size: str | None
) -> None:
    step = step_of(draft(*said), word)
    assert (step.count, step.size) == (count, size)


def test_what_is_pointed_out_is_asked_about(draft: Callable[..., Draft]) -> None:
    questions = draft("Take out the screws in this trim. Two here, one down there.").open_questions
    assert [q.kind for q in questions if q.kind == "pointer"] == ["pointer", "pointer"]


def test_a_tool_has_the_number_that_was_asked_for(draft: Callable[..., Draft]) -> None:
    items = draft("A: Undo the bolts, ten mil socket.", "B: How many?", "A: Six.").items
    (tool,) = (item for item in items if isinstance(item, ToolItem))
    assert (tool.count, tool.size) == (6, "10 mm")


def test_a_tool_keeps_only_the_right_size(draft: Callable[..., Draft]) -> None:
    items = draft("Slacken the nut.", "A: With what?", "B: Nineteen, no, that's the flange. Seventeen.").items
    assert [item.size for item in items if isinstance(item, ToolItem)] == ["17 mm"]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Never touch the two big twenty-two mil nuts on the spring can.", id="never"),
        pytest.param("Do not undo the 22 mil nut.", id="do-not"),
        pytest.param("Leave the nuts alone, the nineteens.", id="leave-alone"),
    ],
)
def test_a_size_of_what_is_forbidden_gives_neither_tool_nor_step(draft: Callable[..., Draft], said: str) -> None:
    assert [item for item in draft(said).items if isinstance(item, StepItem | ToolItem)] == []
