from collections.abc import Callable
from typing import Any

import pytest

from vouchbook.library.editions.difference import difference
from vouchbook.library.editions.statements import difference_lines, headed, statement
from vouchbook.models.editions import ItemKind, VouchedItem

MakeItem = Callable[..., VouchedItem]
STEP: dict[str, Any] = {"action": "undo", "object": "bolts"}


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        pytest.param("step", STEP, "Undo bolts", id="step"),
        pytest.param(
            "step",
            STEP | {"condition": "if it sticks", "count": 4, "size": "10 mm", "tool": "spanner", "place": "below"},
            "If it sticks: undo 4 × bolts · 10 mm · with spanner · below",
            id="step-with-everything",
        ),
        pytest.param("tool", {"name": "socket", "size": "10 mm"}, "Socket 10 mm", id="tool"),
        pytest.param(
            "tool", {"name": "socket", "fastener": "bolt", "count": 4}, "Socket, for 4 × bolt", id="tool-for-something"
        ),
        pytest.param("location", {"part": "plug", "place": "under the seat"}, "Plug: under the seat", id="location"),
        pytest.param("warning", {"text": "it kills", "prohibits": "cut it"}, "It kills. Never: cut it", id="warning"),
        pytest.param(
            "warning", {"text": "never cut it", "prohibits": "cut it"}, "Never cut it", id="warning-that-says-it"
        ),
        pytest.param("cue", {"text": "two stripes"}, "Two stripes", id="cue"),
    ],
)
def test_an_item_in_one_line(kind: ItemKind, fields: dict[str, Any], said: str) -> None:
    assert statement(kind, fields) == said


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        pytest.param("step", STEP, "step: Undo bolts", id="step"),
        pytest.param("warning", {"text": "it bites", "signal": "danger", "hazard": "crush"},
                     "DANGER: It bites (crush)", id="warning"),
        pytest.param("warning", {"text": "it bites", "signal": "notice", "hazard": "other"},
                     "NOTICE: It bites", id="other-hazard"),
    ],
)  # fmt: skip
def test_a_warning_stands_behind_its_signal_word(kind: ItemKind, fields: dict[str, Any], said: str) -> None:
    assert headed(kind, fields) == said


def test_a_difference_tells_the_warnings_that_are_gone_first(item: MakeItem) -> None:
    old = [
        item(1, "step", action="undo", object="cover bolts", size="10 mm"),
        item(2, "cue", text="two stripes"),
        item(3, "warning", text="the exhaust stays hot for an hour"),
        item(4, "tool", name="torch"),
    ]
    new = [item(1, "step", action="undo", object="cover bolts", size="13 mm"), old[3], item(5, "cue", text="a badge")]
    assert list(difference_lines(difference(old, new))) == [
        "GONE   WARNING: The exhaust stays hot for an hour (burn)",
        "gone   cue: Two stripes",
        "new    cue: A badge",
        "change step: Undo cover bolts · 13 mm",
        "         size: [10] {13} mm",
        "same   1 item",
    ]
    assert list(difference_lines(difference(old, old))) == ["Both say the same (4 items)."]
