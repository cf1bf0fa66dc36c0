from collections.abc import Callable
from typing import Any

import pytest

from vouchbook.cli.phrases import branch_heading, certainty, place_in, statement, statement_in_branch, steps_told
from vouchbook.models.clock import clock
from vouchbook.models.draft import Draft
from vouchbook.models.items import StepItem
from vouchbook.models.transcript import Source, Transcript


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0:00"), (59.99, "0:59"), (60, "1:00"), (3599, "59:59"), (3600, "1:00:00"), (7384.5, "2:03:04")],
)
def test_clock(seconds: float, text: str) -> None:
    assert clock(seconds) == text


def test_with_several_files_a_time_names_the_file_that_holds_it() -> None:
    """Officers seek in a file, not on the visit's clock."""
    sources = tuple(Source(name=f"{n}.m4a", sha256="0" * 64, offset_s=n * 100, kind="recording") for n in range(2))
    assert [place_in(Transcript(sources=sources), s) for s in (0, 99, 100, 161)] == [
        "1/0:00",
        "1/1:39",
        "2/0:00",
        "2/1:01",
    ]
    assert place_in(Transcript(sources=sources[:1]), 161) == "2:41"


MM = {"normal": "10 mm", "dimension": "length", "value": 10, "unit": "mm", "said": "ten-millimetre"}
TWO = {"normal": "2", "dimension": "count", "value": 2, "said": "two"}


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        pytest.param({"kind": "step", "action": "pull", "object": "plug"}, "Pull plug", id="bare-step"),
        pytest.param(
            {"kind": "step", "action": "turn anticlockwise", "object": "crank until it stops"},
            "Turn crank anticlockwise until it stops",
            id="which-way-behind-the-thing",
        ),
        pytest.param({"kind": "step", "action": "wait", "object": ""}, "Wait", id="step-without-object"),
        pytest.param(
            {
                "kind": "step",
                "action": "remove",
                "object": "bolts",
                "size_said": MM,
                "count_said": TWO,
                "tool": "socket",
                "place": "behind the seat",
                "condition": "if the cover is on",
            },
            "If the cover is on: remove 2 × bolts · 10 mm · with socket · behind the seat",
            id="full-step",
        ),
        pytest.param(
            {"kind": "step", "action": "undo", "object": "two bolts", "count_said": TWO},
            "Undo 2 × bolts",
            id="count-also-in-the-object",
        ),
        pytest.param({"kind": "tool", "name": "socket"}, "Socket", id="bare-tool"),
        pytest.param(
            {"kind": "tool", "name": "socket", "size_said": MM, "count_said": TWO, "fastener": "bolt", "implied": True},
            "Socket 10 mm (not named, implied), for 2 × bolt",
            id="full-tool",
        ),
        pytest.param({"kind": "tool", "name": "chock", "count_said": TWO}, "Chock, for 2", id="tool-with-a-count-only"),
        pytest.param({"kind": "location", "part": "plug", "place": "in the boot"}, "Plug: in the boot", id="location"),
        pytest.param(
            {
                "kind": "warning",
                "text": "live",
                "hazard": "burn",
                "signal": "danger",
                "signal_reason": "told",
                "prohibits": "cutting",
            },
            "Live. Never: cutting",
            id="prohibition",
        ),
        pytest.param(
            {
                "kind": "warning",
                "text": "never cut it",
                "hazard": "burn",
                "signal": "danger",
                "signal_reason": "told",
                "prohibits": "cut it",
            },
            "Never cut it",
            id="prohibition-that-says-it-itself",
        ),
        pytest.param(
            {
                "kind": "warning",
                "text": "never with bare hands",
                "hazard": "burn",
                "signal": "danger",
                "signal_reason": "told",
                "prohibits": "do it with bare hands",
            },
            "Never with bare hands",
            id="prohibition-without-a-verb",
        ),
        pytest.param({"kind": "cue", "text": "yellow badge"}, "Yellow badge", id="cue"),
    ],
)
def test_a_statement_holds_what_was_said_and_nothing_else(
    draft_with: Callable[..., Draft], fields: dict[str, Any], text: str
) -> None:
    (item,) = draft_with([{"phase": "disable", "line": 3} | fields]).items
    assert statement(item) == text


@pytest.mark.parametrize(
    ("confidence", "words"),
    [
        (1, "well supported"),
        (0.8, "well supported"),
        (0.79, "supported"),
        (0.5, "check this"),
        (0, "weak, listen to it"),
    ],
)
def test_confidence_in_words(confidence: float, words: str) -> None:
    assert certainty(confidence) == words


@pytest.mark.parametrize(
    ("numbers", "text"),
    [(["3"], "step 3"), (["3", "5a"], "steps 3 and 5a"), (["3", "5", "6"], "steps 3, 5 and 6")],
)
def test_steps_by_their_numbers(numbers: list[str], text: str) -> None:
    assert steps_told(numbers) == text
    assert branch_heading("if it's dead", numbers) == f"If it's dead, instead of {text}:"


@pytest.mark.parametrize(
    ("condition", "text"),
    [
        pytest.param("if it's dead", "Pull plug", id="the-label-says-it"),
        pytest.param("If it's dead", "Pull plug", id="with-a-capital"),
        pytest.param("if it floats", "If it floats: pull plug", id="another-condition-stays"),
        pytest.param(None, "Pull plug", id="no-condition"),
    ],
)
def test_under_its_label_a_branch_does_not_repeat_its_condition(
    draft_with: Callable[..., Draft], condition: str | None, text: str
) -> None:
    common = {"kind": "step", "phase": "disable", "line": 3, "action": "pull", "object": "plug"}
    other = {"branch": "if it's dead", "instead_of": ["i1"], "condition": condition}
    _, step = draft_with([common, common | other]).items
    assert isinstance(step, StepItem)
    assert statement_in_branch(step) == text
