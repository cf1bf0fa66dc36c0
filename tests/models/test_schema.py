import json
from pathlib import Path

import jsonschema
import pytest

from vouchbook.cli.schema import schemas
from vouchbook.models.draft import Draft

PUBLISHED = Path(__file__).parents[2] / "docs" / "schema"


@pytest.mark.parametrize("name", sorted(schemas()))
def test_the_published_schema_is_that_of_the_records(name: str) -> None:
    assert (PUBLISHED / name).read_text(encoding="utf-8") == schemas()[name]


def test_every_published_schema_is_still_made() -> None:
    assert {path.name for path in PUBLISHED.iterdir()} == set(schemas())


@pytest.mark.parametrize("name", sorted(schemas()))
def test_the_schema_is_sound_itself(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schemas()[name]))


def test_a_stored_draft_and_its_transcript_fit_their_schemas(draft: Draft) -> None:
    stored = json.loads(draft.to_json())
    jsonschema.validate(stored, json.loads(schemas()["draft.schema.json"]))
    jsonschema.validate(stored["transcript"], json.loads(schemas()["transcript.schema.json"]))


@pytest.mark.parametrize(
    "change",
    [
        pytest.param({"kind": "rumour"}, id="unknown-kind"),
        pytest.param({"evidence": []}, id="no-evidence"),
        pytest.param({"confidence": 2}, id="more-than-sure"),
        pytest.param({"phase": None}, id="no-topic"),
    ],
)
def test_the_schema_refuses_what_the_records_refuse(draft: Draft, change: dict[str, object]) -> None:
    stored = json.loads(draft.to_json())
    stored["items"][0].update(change)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(stored, json.loads(schemas()["draft.schema.json"]))
