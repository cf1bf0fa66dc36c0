import json

import pytest
from pydantic import ValidationError

from vouchbook.models.draft import CAUTION, Draft, draft_from_json
from vouchbook.models.errors import DocumentError

GIVE = "Give a draft that Vouchbook wrote."


def test_a_draft_comes_back_byte_for_byte(draft: Draft) -> None:
    stored = draft.to_json()
    again = draft_from_json(stored, "visit.draft.json")
    assert again == draft
    assert again.to_json() == stored


def test_a_stored_draft_has_the_fields_that_readers_of_it_rely_on(draft: Draft) -> None:
    stored = json.loads(draft.to_json())
    assert stored["caution"] == CAUTION
    assert stored["items"][0].items() >= {
        "id": "i1", "kind": "step", "phase": "disable", "start": 0.0, "end": 3.5, "action": "take out",
        "object": "bolts",
        "quote": "Take the three ten-millimetre bolts out here.", "size": "10 mm", "count": 3,
    }.items()  # fmt: skip
    assert [question["kind"] for question in stored["open_questions"]] == ["pointer", "uncovered"]


@pytest.mark.parametrize("what", ["items", "open_questions"])
def test_two_entries_never_share_an_id(draft: Draft, what: str) -> None:
    stored = json.loads(draft.to_json())
    stored[what][1]["id"] = stored[what][0]["id"]
    with pytest.raises(DocumentError, match="two entries share an id"):
        draft_from_json(json.dumps(stored), "visit.draft.json")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        pytest.param("", "v.json: not JSON (Expecting value: line 1 column 1 (char 0)). " + GIVE, id="empty"),
        pytest.param("[]", "v.json: not a Vouchbook draft: it has no version. " + GIVE, id="a-list"),
        pytest.param("{}", "v.json: not a Vouchbook draft: it has no version. " + GIVE, id="no-version"),
        pytest.param(
            '{"version": 4}',
            "v.json: draft version 4 is newer than 3, the newest that this Vouchbook knows. Update Vouchbook.",
            id="newer",
        ),
        pytest.param('{"version": 0}', "v.json: draft version 0 is not known. Make it again.", id="before-the-first"),
    ],
)
def test_what_is_not_a_draft_is_refused_in_one_line(text: str, message: str) -> None:
    with pytest.raises(DocumentError) as caught:
        draft_from_json(text, "v.json")
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("change", "message"),
    [
        pytest.param(
            lambda stored: stored["transcript"]["words"][7].update(text="Do"),
            "v.json: not a sound draft at items.2.warning.evidence.0: Value error, the transcript does not say",
            id="a-word-of-the-transcript-changed",
        ),
        pytest.param(
            lambda stored: stored["items"][0]["evidence"][0].update(quote="Cut the bolts"),
            "v.json: not a sound draft at items.0.step.evidence.0: Value error, the transcript does not say ",
            id="a-quote-changed",
        ),
        pytest.param(
            lambda stored: stored["items"][0].update(evidence=[]),
            "v.json: not a sound draft at items.0.step.evidence: Tuple should have at least 1 item",
            id="evidence-removed",
        ),
        pytest.param(
            lambda stored: stored["items"][0].update(torque="12 Nm"),
            "v.json: not a sound draft at items.0.step.torque: Extra inputs are not permitted",
            id="a-field-added",
        ),
        pytest.param(
            lambda stored: stored.update(transcript=None), "v.json: not a sound draft at top: ", id="transcript-removed"
        ),
    ],
)
def test_a_draft_that_was_tampered_with_is_refused(draft: Draft, change: object, message: str) -> None:
    assert callable(change)
    stored = json.loads(draft.to_json())
    change(stored)
    with pytest.raises(DocumentError) as caught:
        draft_from_json(json.dumps(stored), "v.json")
    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


def test_a_draft_cannot_be_made_with_words_of_another_talk(draft: Draft) -> None:
    stored = draft.model_dump()
    with pytest.raises(ValidationError, match="needs the transcript"):
        Draft.model_validate(stored)


def test_a_picture_must_show_an_entry_of_the_draft(draft: Draft) -> None:
    fields = dict(draft) | {"pictures": ({"shows": "i99", "file": "talk.stills/1.jpg"},)}
    with pytest.raises(ValidationError, match="no entry of this draft"):
        Draft.model_validate(fields)


def test_a_draft_holds_the_transcript_that_it_quotes(draft: Draft) -> None:
    other = draft.transcript.model_copy(update={"words": draft.transcript.words[::-1]})
    with pytest.raises(ValidationError, match="the transcript does not say"):
        Draft.model_validate(dict(draft) | {"transcript": other})


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        pytest.param({"i3": {"guards": ["i9"]}}, "i3 names i9, which is no step of this draft", id="guards-nothing"),
        pytest.param({"i3": {"guards": ["i2"]}}, "i3 names i2, which is no step of this draft", id="guards-a-tool"),
        pytest.param({"i3": {"guards": ["i1"]}}, "warning i3 stands behind a step that it guards", id="too-late"),
        pytest.param({"i3": {"guards": ["i6", "i6"]}}, "i3 names a step twice", id="guards-twice"),
        pytest.param({"i6": {"instead_of": ["i7"]}}, "i6 names i7, which is no step of this draft", id="of-nothing"),
        pytest.param({"i6": {"instead_of": ["i3"]}}, "i6 names i3, which is no step of this draft", id="of-a-warning"),
        pytest.param({"i6": {"instead_of": ["i6"]}}, "step i6 replaces itself or a later step", id="of-itself"),
        pytest.param({"i1": {"instead_of": ["i6"]}}, "step i1 replaces itself or a later step", id="of-a-later-one"),
        pytest.param({"i6": {"instead_of": ["i1", "i1"]}}, "i6 names a step twice", id="of-one-twice"),
        pytest.param({"i3": {"guards": ["i6"]}, "i6": {"instead_of": ["i1"]}}, None, id="sound"),
    ],
)
def test_guards_and_branches_name_steps_in_their_order(
    draft: Draft, changes: dict[str, dict[str, list[str]]], message: str | None
) -> None:
    """``i3`` is a warning behind the step ``i1`` and before the step ``i6``."""
    stored = json.loads(draft.to_json())
    stored["items"].append(stored["items"][0] | {"id": "i6"})
    for item in stored["items"]:
        item.update(changes.get(item["id"], {}))
        if item.get("instead_of"):
            item["branch"] = "if that fails"
    if message is None:
        sound = draft_from_json(json.dumps(stored), "v.json")
        assert (sound.items[2].guards, sound.items[5].instead_of) == (("i6",), ("i1",))  # type: ignore[union-attr]
        return
    with pytest.raises(DocumentError, match=f"v.json: not a sound draft at top: Value error, {message}"):
        draft_from_json(json.dumps(stored), "v.json")
