import json

import pytest

from vouchbook.models.draft import Draft, draft_from_json
from vouchbook.models.errors import DocumentError, InputError, VouchbookError
from vouchbook.models.items import StepItem, WarningItem
from vouchbook.models.migrations import DRAFT_STEPS, REASON_NOT_KEPT, Document, upgrade


def title_to_subject(document: Document) -> Document:
    return {"version": document["version"], "subject": document["title"]}


def subject_to_upper(document: Document) -> Document:
    return {**document, "subject": document["subject"].upper()}


STEPS = {1: title_to_subject, 2: subject_to_upper}


@pytest.mark.parametrize(
    ("stored", "current"),
    [
        pytest.param({"version": 1, "title": "van"}, {"version": 3, "subject": "VAN"}, id="two-steps"),
        pytest.param({"version": 2, "subject": "van"}, {"version": 3, "subject": "VAN"}, id="one-step"),
        pytest.param({"version": 3, "subject": "van"}, {"version": 3, "subject": "van"}, id="current"),
    ],
)
def test_older_documents_are_brought_up_step_by_step(stored: Document, current: Document) -> None:
    before = dict(stored)
    assert upgrade(stored, "v.json", "draft", 3, STEPS) == current
    assert stored == before


@pytest.mark.parametrize(
    ("stored", "problem"),
    [
        pytest.param({"version": 4}, "draft version 4 is newer than 3", id="newer"),
        pytest.param({"version": 0}, "draft version 0 is not known", id="no-step-leads-on"),
        pytest.param({"version": "3"}, "it has no version", id="version-is-text"),
        pytest.param("draft", "it has no version", id="text"),
    ],
)
def test_documents_of_unknown_versions_are_refused(stored: object, problem: str) -> None:
    with pytest.raises(DocumentError, match=problem):
        upgrade(stored, "v.json", "draft", 3, STEPS)


def test_an_error_is_one_line_with_name_problem_and_remedy() -> None:
    error = InputError("talk.wav", "the file\n  ends early.", "Copy it again.")
    assert str(error) == "talk.wav: the file ends early. Copy it again."
    assert isinstance(error, VouchbookError)


def test_a_draft_of_the_first_version_loads_as_one_without_pictures(draft: Draft) -> None:
    stored = json.loads(draft.to_json())
    del stored["pictures"]
    stored["version"] = 1
    assert draft_from_json(json.dumps(stored), "old.json").pictures == ()


def test_a_draft_of_the_second_version_has_no_guards_and_no_branches_and_says_that_a_reason_is_missing(
    draft: Draft,
) -> None:
    stored = json.loads(draft.to_json()) | {"version": 2}
    for item in stored["items"]:
        for field in ("guards", "signal_reason", "branch", "instead_of"):
            item.pop(field, None)
    brought_up = draft_from_json(json.dumps(stored), "old.json")
    warning, step = brought_up.items[2], brought_up.items[0]
    assert isinstance(warning, WarningItem)
    assert isinstance(step, StepItem)
    assert (warning.guards, warning.signal_reason) == ((), REASON_NOT_KEPT)
    assert (step.branch, step.instead_of) == (None, ())
    kept = warning.model_copy(update={"signal_reason": "cutting live high voltage will kill"})
    assert brought_up.model_copy(update={"items": (*draft.items[:2], kept, *draft.items[3:])}) == draft


@pytest.mark.parametrize("items", [None, "many", [7], [{"kind": "cue"}]])
def test_items_that_are_no_items_are_left_to_the_check_of_the_draft(items: object) -> None:
    assert DRAFT_STEPS[2]({"version": 2, "items": items})["items"] == items


def test_every_older_draft_version_has_a_step() -> None:
    assert sorted(DRAFT_STEPS) == list(range(1, Draft.VERSION))
