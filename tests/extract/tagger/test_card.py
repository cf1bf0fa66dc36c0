"""The card beside the weights: how answers and features are numbered."""

import json
from typing import Any

import pytest
from pydantic import ValidationError

from vouchbook.extract.tagger.card import DEED, Card
from vouchbook.extract.tagger.labels import FEATURES, HEADS, SAID

RECORD: dict[str, Any] = {
    "name": "small",
    "feature_values": {feature: [f"{feature} one", f"{feature} two"] for feature in FEATURES},
    "deeds": [SAID, "remove"],
    "trained_on": "nothing",
    "measured": "nothing",
    "limits": "knows nothing",
}


@pytest.fixture
def card() -> Card:
    return Card.model_validate_json(json.dumps(RECORD))


def test_a_card_is_read_and_written_alike(card: Card) -> None:
    assert Card.model_validate_json(card.model_dump_json()) == card


@pytest.mark.parametrize(
    "record",
    [
        pytest.param({k: v for k, v in RECORD.items() if k != "limits"}, id="limits-left-out"),
        pytest.param({**RECORD, "colour": "grey"}, id="something-unknown"),
        pytest.param({**RECORD, "deeds": "remove"}, id="deeds-that-are-no-list"),
    ],
)
def test_a_card_that_is_not_whole_is_refused(record: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Card.model_validate_json(json.dumps(record))


def test_the_questions_stand_in_the_order_of_the_columns_the_deed_last(card: Card) -> None:
    heads = card.heads()
    assert list(heads) == [*HEADS, DEED]
    assert heads[DEED] == (SAID, "remove")
    assert {name: heads[name] for name in HEADS} == HEADS


def test_known_values_are_numbered_from_one_on_in_the_order_of_the_features(card: Card) -> None:
    assert card.numbers() == tuple({f"{feature} one": 1, f"{feature} two": 2} for feature in FEATURES)


@pytest.mark.parametrize("head", [head for head in HEADS if HEADS[head][0] == "O"])
def test_a_stretch_that_goes_on_can_also_open(head: str) -> None:
    opens = {name[2:] for name in HEADS[head] if name.startswith("B-")}
    assert opens
    assert opens == {name[2:] for name in HEADS[head] if name.startswith("I-")}
