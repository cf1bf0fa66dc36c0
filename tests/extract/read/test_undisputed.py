"""A value that two statements dispute stands on no item, whichever of them is right."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import SizedItem, StepItem
from vouchbook.models.transcript import Transcript


@pytest.mark.parametrize(
    ("said", "disputed"),
    [
        pytest.param(
            ["Ada: Undo the bolts, ten mil.", "Bo: No, those are thirteen.", "Ada: Hm.", "Bo: Hm."],
            {"10 mm", "13 mm"},
            id="size",
        ),
        pytest.param(
            ["Ada: Undo the bolts, ten mil.", "Bo: No, those are thirteen.", "Ada: Hm.", "Bo: So, ten mil, undo it."],
            {"10 mm", "13 mm"},
            id="size-said-again-when-they-settle-it",
        ),
    ],
)
def test_a_disputed_size_is_left_off(
    reader: Reader, spoken: Callable[..., Transcript], said: list[str], disputed: set[str]
) -> None:
    draft = reader.read(spoken(*said))
    assert [q.kind for q in draft.open_questions if q.kind == "conflict"] == ["conflict"]
    sized = [item for item in draft.items if isinstance(item, SizedItem)]
    assert sized
    assert not {item.size for item in sized} & disputed
    assert any("a value is left off: two statements dispute it" in item.reasons for item in sized)


def test_a_disputed_wait_is_left_off(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    said = ("Give it five minutes to bleed down.", "Press the button.", "Wait ten minutes before you open it.")
    draft = reader.read(spoken(*said))
    waits = [item for item in draft.items if isinstance(item, StepItem) and item.action == "wait"]
    assert waits
    assert {item.object for item in waits} == {"a time or distance in dispute"}


def test_without_a_conflict_the_values_stand(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    draft = reader.read(spoken("Wait ten minutes before you open it.", "Undo the three bolts.", "Ten mil socket."))
    steps = [item for item in draft.items if isinstance(item, StepItem)]
    assert [(item.object, item.size, item.count) for item in steps] == [
        ("ten minutes", None, None),
        ("three bolts", "10 mm", 3),
    ]
