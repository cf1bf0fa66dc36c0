from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vouchbook.cli.layout import (
    QUESTION_HEADINGS,
    Section,
    least_sure_first,
    question_groups,
    sections,
    step_numbers,
)
from vouchbook.models.draft import Draft
from vouchbook.models.items import Item
from vouchbook.models.phases import Phase

KINDS: dict[str, dict[str, str]] = {
    "step": {"action": "pull", "object": "plug"},
    "tool": {"name": "socket"},
    "location": {"part": "plug", "place": "behind the seat"},
    "warning": {"text": "live", "hazard": "electric shock", "signal": "danger", "signal_reason": "told"},
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
            for each in block.all_steps:
                found += [*(front.warning for front in each.warnings), each.step, *each.tools]
    return found


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(entries=ENTRIES, data=st.data())
def test_every_item_is_shown_once_and_steps_keep_their_order(
    draft_with: Callable[..., Draft], entries: list[tuple[str, str, int]], data: st.DataObject
) -> None:
    """Whatever guards and replaces what: all stand in one place, each warning in front of all that it guards."""
    steps = [n for n, (kind, _, _) in enumerate(entries) if kind == "step"]
    ids = {n: f"i{n + 1}" for n in steps}
    items: list[dict[str, Any]] = []
    for n, (kind, phase, line) in enumerate(entries):
        item: dict[str, Any] = {"kind": kind, "phase": phase, "line": line} | KINDS[kind]
        earlier, later = [ids[m] for m in steps if m < n], [ids[m] for m in steps if m > n]
        if kind == "warning" and later:
            item["guards"] = data.draw(st.lists(st.sampled_from(later), unique=True))
        if kind == "step" and earlier:
            item["instead_of"] = data.draw(st.lists(st.sampled_from(earlier), unique=True, max_size=2))
            item["branch"] = data.draw(st.sampled_from(["if that fails", "if not"])) if item["instead_of"] else None
        items.append(item)
    draft = draft_with(items)
    laid_out = sections(draft)
    assert sorted(item.id for item in shown(laid_out)) == sorted(item.id for item in draft.items)
    blocks = [block for section in laid_out for block in section.steps]
    usual = [item.id for item in draft.items if item.kind == "step" and item.branch is None]
    assert [block.step.id for block in blocks] == usual
    assert [block.number for block in blocks] == [str(n) for n in range(1, len(blocks) + 1)]
    assert all(block.step.phase is section.phase for section in laid_out for block in section.steps)
    place_of = {item.id: place for place, item in enumerate(shown(laid_out))}
    for warning in (item for item in draft.items if item.kind == "warning"):
        assert all(place_of[warning.id] < place_of[step] for step in warning.guards)
    numbers = [each.number for block in blocks for each in block.all_steps]
    assert len(set(numbers)) == len(numbers)
    assert list(step_numbers(draft).values()) == numbers


def test_steps_follow_the_procedure_and_topics_may_come_again(draft: Draft) -> None:
    assert [(section.title, [block.step.action for block in section.steps]) for section in sections(draft)] == [
        ("Recognise it", []),
        ("Take the energy away", ["put on"]),
        ("Keep it from moving", ["chock"]),
        ("Take the energy away, again", ["take out", "pull"]),
    ]


def test_a_warning_stands_in_front_of_the_first_step_that_it_guards(draft: Draft) -> None:
    fronts = {b.step.action: [front.warning.text for front in b.warnings] for s in sections(draft) for b in s.steps}
    assert fronts == {
        "put on": [],
        "chock": ["it drives without a sound"],
        "take out": [],
        "pull": ["orange cable kills"],
    }


@pytest.mark.parametrize(
    ("guards", "expected"),
    [
        pytest.param([], {}, id="none-so-on-top-of-its-topic"),
        pytest.param(["i3"], {"2": ()}, id="one"),
        pytest.param(["i2", "i3", "i4"], {"1": ("1a", "2")}, id="several-of-which-one-is-another-way"),
        pytest.param(["i3", "i4"], {"1a": ("2",)}, id="the-first-as-shown-not-as-told"),
    ],
)
def test_a_warning_stands_once_and_names_what_else_it_guards(
    draft_with: Callable[..., Draft], guards: list[str], expected: dict[str, tuple[str, ...]]
) -> None:
    draft = draft_with(
        [
            {"kind": "warning", "phase": "disable", "line": 5, "guards": guards} | KINDS["warning"],
            {"kind": "step", "phase": "disable", "line": 0} | KINDS["step"],
            {"kind": "step", "phase": "disable", "line": 2} | KINDS["step"],
            {"kind": "step", "phase": "access", "line": 3, "branch": "if not", "instead_of": ["i2"]} | KINDS["step"],
        ]
    )
    laid_out = sections(draft)
    steps = [each for section in laid_out for block in section.steps for each in block.all_steps]
    assert {each.number: front.also_before for each in steps for front in each.warnings} == expected
    assert sum(len(section.warnings) for section in laid_out) == (0 if guards else 1)


def test_another_way_stands_under_the_last_step_that_it_replaces_with_numbers_of_its_own(
    draft_with: Callable[..., Draft],
) -> None:
    def step(**more: object) -> dict[str, Any]:
        return {"kind": "step", "phase": "disable", "line": 6} | KINDS["step"] | more

    fails, gone = {"branch": "if that fails"}, {"branch": "if it's gone"}
    (section,) = sections(
        draft_with(
            [
                step(), step(), step(instead_of=["i1", "i2"], **fails), step(instead_of=["i1", "i2"], **fails),
                step(instead_of=["i4"], phase="fire", **gone), step(),
            ]
        )
    )  # fmt: skip
    assert [block.number for block in section.steps] == ["1", "2", "3"]
    ways = [(way.label, way.instead_of, [b.number for b in way.steps]) for b in section.steps for way in b.ways]
    assert ways == [
        ("if that fails", ("1", "2"), ["2a.1", "2a.2"]),
        ("if it's gone", ("2a.2",), ["2b"]),
    ]


def test_a_tool_stands_behind_the_step_whose_words_name_it(draft: Draft) -> None:
    tools = {block.step.action: [tool.name for tool in block.tools] for s in sections(draft) for block in s.steps}
    assert tools == {"put on": [], "chock": [], "take out": ["socket"], "pull": []}


def test_questions_are_grouped_with_the_most_dangerous_kind_first(draft_with: Callable[..., Draft]) -> None:
    entries = [
        {"kind": "uncovered", "phase": "fire", "about": "fire", "ask": "In a fire?"},
        {"kind": "pointer", "line": 6, "start": 60, "about": "here", "ask": "Which?"},
        {"kind": "doubtful", "line": 5, "start": 50, "about": "cut", "ask": "Cut or do not cut?"},
        {"kind": "pointer", "line": 4, "start": 40, "about": "under it", "ask": "Under what?"},
    ]
    groups = question_groups(draft_with([], entries).open_questions)
    assert [(heading.split(":")[0], [question.ask for question in group]) for heading, group in groups] == [
        ("Not sure, or heard badly", ["Cut or do not cut?"]),
        ("Shown, not said", ["Under what?", "Which?"]),
        ("Never spoken about", ["In a fire?"]),
    ]


def test_a_reviewer_begins_with_what_is_least_sure_and_most_dangerous(draft_with: Callable[..., Draft]) -> None:
    warning = {"kind": "warning", "phase": "disable", "hazard": "burn", "signal_reason": "told"}
    danger, caution = (warning | {"signal": signal, "text": signal} for signal in ("danger", "caution"))
    step = {"kind": "step", "phase": "disable", "action": "pull", "object": "plug"}
    entries = [(step, 0.9), (caution, 0.3), (step, 0.2), (danger, 0.35), (danger, 0.95), (step, 0.5), (step, 0.45)]
    draft = draft_with([entry | {"line": 0, "confidence": confidence} for entry, confidence in entries])
    assert [item.id for item in least_sure_first(draft.items)] == ["i4", "i2", "i3", "i7", "i6", "i5", "i1"]


def test_each_kind_of_question_has_a_heading() -> None:
    from typing import get_args

    from vouchbook.models.questions import QuestionKind

    assert set(QUESTION_HEADINGS) == set(get_args(QuestionKind))
