from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vouchbook.cli.layout import QUESTION_HEADINGS, Section, least_sure_first, question_groups, sections
from vouchbook.models.draft import Draft
from vouchbook.models.items import Item
from vouchbook.models.phases import Phase

KINDS: dict[str, dict[str, str]] = {
    "step": {"action": "pull", "object": "plug"},
    "tool": {"name": "socket"},
    "location": {"part": "plug", "place": "behind the seat"},
    "warning": {"text": "live", "hazard": "electric shock", "signal": "danger"},
    "cue": {"text": "yellow badge"},
}
ENTRIES = st.lists(
    st.tuples(st.sampled_from(sorted(KINDS)), st.sampled_from([phase.value for phase in Phase]), st.integers(0, 7)),
    max_size=12,
)


def shown(laid_out: list[Section]) -> list[Item]:
    found: list[Item] = []
    for section in laid_out:
        found += [*section.warnings, *section.cues, *section.locations, *section.tools]
        for block in section.steps:
            found += [*block.warnings, block.step, *block.tools]
    return found


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(entries=ENTRIES)
def test_every_item_is_shown_once_and_steps_keep_their_order(
    draft_with: Callable[..., Draft], entries: list[tuple[str, str, int]]
) -> None:
    draft = draft_with([{"kind": kind, "phase": phase, "line": line} | KINDS[kind] for kind, phase, line in entries])
    laid_out = sections(draft)
    assert sorted(item.id for item in shown(laid_out)) == sorted(item.id for item in draft.items)
    blocks = [block for section in laid_out for block in section.steps]
    assert [block.step.id for block in blocks] == [item.id for item in draft.items if item.kind == "step"]
    assert [block.number for block in blocks] == list(range(1, len(blocks) + 1))
    assert all(block.step.phase is section.phase for section in laid_out for block in section.steps)


def test_steps_follow_the_procedure_and_topics_may_come_again(draft: Draft) -> None:
    assert [(section.title, [block.step.action for block in section.steps]) for section in sections(draft)] == [
        ("Recognise it", []),
        ("Take the energy away", ["put on"]),
        ("Keep it from moving", ["chock"]),
        ("Take the energy away, again", ["take out", "pull"]),
    ]


def test_a_warning_stands_in_front_of_the_step_it_was_said_with(draft: Draft) -> None:
    fronts = {block.step.action: [w.text for w in block.warnings] for s in sections(draft) for block in s.steps}
    assert fronts == {
        "put on": [],
        "chock": ["it drives without a sound"],
        "take out": [],
        "pull": ["orange cable kills"],
    }


def test_a_tool_stands_behind_the_step_whose_words_name_it(draft: Draft) -> None:
    tools = {block.step.action: [tool.name for tool in block.tools] for s in sections(draft) for block in s.steps}
    assert tools == {"put on": [], "chock": [], "take out": ["socket"], "pull": []}


@pytest.mark.parametrize(
    ("warning_line", "expected"),
    [
        pytest.param(2, "front", id="said-within-20-s-of-the-step"),
        pytest.param(7, "top", id="said-much-later-about-the-topic"),
    ],
)
def test_a_warning_far_from_any_step_stands_on_top_of_its_topic(
    draft_with: Callable[..., Draft], warning_line: int, expected: str
) -> None:
    draft = draft_with(
        [
            {"kind": "step", "phase": "disable", "line": 0} | KINDS["step"],
            {"kind": "warning", "phase": "disable", "line": warning_line} | KINDS["warning"],
        ]
    )
    (section,) = sections(draft)
    assert (len(section.warnings), len(section.steps[0].warnings)) == ((1, 0) if expected == "top" else (0, 1))


def test_questions_are_grouped_with_the_most_dangerous_kind_first(draft_with: Callable[..., Draft]) -> None:
    entries = [
        {"kind": "uncovered", "phase": "fire", "about": "fire", "ask": "In a fire?"},
        {"kind": "pointer", "line": 6, "start": 60, "about": "here", "ask": "Which?"},
        {"kind": "doubtful", "line": 5, "start": 50, "about": "cut", "ask": "Cut or do not cut?"},
        {"kind": "pointer", "line": 4, "start": 40, "about": "under it", "ask": "Under what?"},
    ]
    groups = question_groups(draft_with([], entries).open_questions)
    assert [(heading.split(":")[0], [question.ask for question in group]) for heading, group in groups] == [
        ("Heard badly", ["Cut or do not cut?"]),
        ("Shown, not said", ["Under what?", "Which?"]),
        ("Never spoken about", ["In a fire?"]),
    ]


def test_a_reviewer_begins_with_what_is_least_sure_and_most_dangerous(draft_with: Callable[..., Draft]) -> None:
    warning = {"kind": "warning", "phase": "disable", "hazard": "burn"}
    danger, caution = (warning | {"signal": signal, "text": signal} for signal in ("danger", "caution"))
    step = {"kind": "step", "phase": "disable", "action": "pull", "object": "plug"}
    entries = [(step, 0.9), (caution, 0.3), (step, 0.2), (danger, 0.35), (danger, 0.95), (step, 0.5), (step, 0.45)]
    draft = draft_with([entry | {"line": 0, "confidence": confidence} for entry, confidence in entries])
    assert [item.id for item in least_sure_first(draft.items)] == ["i4", "i2", "i3", "i7", "i6", "i5", "i1"]


def test_each_kind_of_question_has_a_heading() -> None:
    from typing import get_args

    from vouchbook.models.questions import QuestionKind

    assert set(QUESTION_HEADINGS) == set(get_args(QuestionKind))
