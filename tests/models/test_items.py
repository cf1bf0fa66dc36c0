import pytest
from pydantic import TypeAdapter, ValidationError

from vouchbook.models.evidence import quote
from vouchbook.models.items import Item, StepItem, ToolItem, WarningItem
from vouchbook.models.phases import Phase
from vouchbook.models.quantities import Quantity
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript


def test_an_item_without_evidence_cannot_exist(step: StepItem, transcript: Transcript) -> None:
    with pytest.raises(ValidationError, match="evidence"):
        StepItem.model_validate(step.model_dump() | {"evidence": ()}, context={"transcript": transcript})


def test_size_count_quote_and_seconds_come_from_what_was_said(step: StepItem) -> None:
    assert (step.size, step.count, step.start, step.end) == ("10 mm", 3, 0.0, 3.5)
    assert step.quote == "Take the three ten-millimetre bolts out here."


@pytest.mark.parametrize("field", ["size_said", "count_said"])
def test_a_value_that_nobody_said_cannot_be_shown(step: StepItem, transcript: Transcript, field: str) -> None:
    invented = Quantity(normal="13 mm", dimension="length", value=13, unit="mm", said="thirteen").model_dump()
    with pytest.raises(ValidationError, match="no evidence of this item says 'thirteen'"):
        StepItem.model_validate(step.model_dump() | {field: invented}, context={"transcript": transcript})


def test_a_stored_size_that_the_words_do_not_give_is_replaced(step: StepItem, transcript: Transcript) -> None:
    """``size`` in a file is only a view of ``size_said``; changing it changes nothing."""
    tampered = step.model_dump() | {"size": "13 mm", "count": 30, "quote": "cut it", "start": 99}
    assert StepItem.model_validate(tampered, context={"transcript": transcript}) == step


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param({"confidence": 1.01}, id="more-than-sure"),
        pytest.param({"confidence": float("nan")}, id="not-a-number"),
        pytest.param({"reasons": ()}, id="no-reason"),
        pytest.param({"id": "7"}, id="another-kind-of-id"),
        pytest.param({"phase": "roof"}, id="unknown-topic"),
        pytest.param({"forbidden": True}, id="a-step-is-never-forbidden"),
        pytest.param({"action": ""}, id="no-action"),
    ],
)
def test_an_unsound_step_is_refused(step: StepItem, transcript: Transcript, changed: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        StepItem.model_validate(step.model_dump() | changed, context={"transcript": transcript})


def test_an_item_does_not_change(step: StepItem) -> None:
    with pytest.raises(ValidationError, match="frozen"):
        step.action = "cut"


def test_the_kind_decides_the_record(transcript: Transcript) -> None:
    stored = {
        "kind": "warning",
        "id": "i3",
        "phase": "disable",
        "evidence": [quote(transcript, 7, 14).model_dump()],
        "confidence": 0.9,
        "reasons": ["a prohibition"],
        "text": "orange cable",
        "hazard": "electric shock",
        "signal": "danger",
        "signal_reason": "cutting live high voltage will kill",
        "prohibits": "cutting the orange cable",
    }
    item: object = TypeAdapter(Item).validate_python(stored, context={"transcript": transcript})
    assert isinstance(item, WarningItem)
    with pytest.raises(ValidationError, match="action"):
        TypeAdapter(Item).validate_python(stored | {"kind": "step"}, context={"transcript": transcript})
    with pytest.raises(ValidationError, match="signal_reason"):
        TypeAdapter(Item).validate_python(stored | {"signal_reason": ""}, context={"transcript": transcript})


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param({"branch": "if that fails"}, id="it-replaces-nothing"),
        pytest.param({"instead_of": ("i1",)}, id="it-has-no-label"),
    ],
)
def test_another_way_has_a_label_and_replaces_something(
    step: StepItem, transcript: Transcript, changed: dict[str, object]
) -> None:
    with pytest.raises(ValidationError, match="both the branch's label and the steps that it replaces"):
        StepItem.model_validate(step.model_dump() | changed, context={"transcript": transcript})
    both = {"branch": "if that fails", "instead_of": ("i1",)}
    assert StepItem.model_validate(step.model_dump() | both, context={"transcript": transcript}).instead_of == ("i1",)


def test_a_tool_may_have_neither_size_nor_count(transcript: Transcript) -> None:
    fields = {
        "id": "i1",
        "phase": "other",
        "evidence": (quote(transcript, 0, 0),),
        "confidence": 0,
        "reasons": ("named",),
    }
    tool = ToolItem.model_validate(fields | {"name": "pliers"}, context={"transcript": transcript})
    assert (tool.size, tool.count) == (None, None)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        pytest.param({"kind": "pointer"}, "needs the words that raised it", id="pointer-without-words"),
        pytest.param({"kind": "doubtful"}, "needs the words that raised it", id="doubtful-without-words"),
        pytest.param({"kind": "uncovered", "phase": None}, "needs its phase", id="uncovered-without-topic"),
        pytest.param({"kind": "mood"}, "Input should be", id="unknown-kind"),
        pytest.param({"ask": ""}, "at least 1 character", id="nothing-to-ask"),
    ],
)
def test_a_question_has_what_its_kind_needs(changed: dict[str, object], message: str) -> None:
    sound = {
        "id": "q1",
        "kind": "uncovered",
        "start": 0,
        "end": 9,
        "about": "fire",
        "ask": "In a fire?",
        "phase": "fire",
    }
    assert OpenQuestion.model_validate(sound).phase is Phase.FIRE
    with pytest.raises(ValidationError, match=message):
        OpenQuestion.model_validate(sound | changed)


def test_a_conflict_has_the_seconds_of_both_sides(transcript: Transcript) -> None:
    stored = {"id": "q1", "kind": "conflict", "start": 0, "end": 9, "about": "size", "ask": "Ten or twelve?"}
    words = {"evidence": [quote(transcript, 0, 3).model_dump()]}
    with pytest.raises(ValidationError, match="seconds of both sides"):
        OpenQuestion.model_validate(stored | words | {"ranges": [[0, 2]]}, context={"transcript": transcript})
    ranges = {"ranges": [[0, 2], [5, 9]]}
    both = OpenQuestion.model_validate(stored | words | ranges, context={"transcript": transcript})
    assert both.ranges == ((0, 2), (5, 9))
