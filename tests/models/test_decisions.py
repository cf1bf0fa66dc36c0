from datetime import UTC, datetime
from typing import Any

import pytest
from pydantic import ValidationError

from vouchbook.models.decisions import Decision, Play, Settlement

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
DECISION: dict[str, Any] = {"item": "i1", "by": 1, "at": AT}
SETTLEMENT: dict[str, Any] = {"question": "q1", "by": 1, "at": AT}
STILL: dict[str, Any] = {"still_sha256": "a" * 64, "spot": {"x": 0.2, "y": 1}}


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"verdict": "confirmed"}, id="confirmed"),
        pytest.param({"verdict": "rejected", "reason": "duplicate"}, id="rejected"),
        pytest.param({"verdict": "rejected", "reason": "other", "note": "a joke"}, id="other-with-a-note"),
        pytest.param({"verdict": "amended", "words": {"object": "rear latch", "count": 2}}, id="amended"),
    ],
)
def test_a_decision_that_says_all_that_its_verdict_needs(fields: dict[str, Any]) -> None:
    decision = Decision.model_validate(DECISION | fields)
    assert Decision.model_validate_json(decision.model_dump_json()) == decision


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        pytest.param({"verdict": "rejected"}, "has a reason", id="rejected-without-reason"),
        pytest.param({"verdict": "confirmed", "reason": "unsafe"}, "has a reason", id="confirmed-with-reason"),
        pytest.param({"verdict": "rejected", "reason": "other"}, "needs a note", id="other-without-note"),
        pytest.param({"verdict": "rejected", "reason": "other", "note": "  "}, "at least 1", id="an-empty-note"),
        pytest.param({"verdict": "amended"}, "new words", id="amended-without-words"),
        pytest.param({"verdict": "amended", "words": {}}, "new words", id="amended-with-none"),
        pytest.param({"verdict": "confirmed", "words": {"object": "x"}}, "new words", id="confirmed-with-words"),
        pytest.param({"verdict": "confirmed", "undone_at": AT}, "taken back", id="taken-back-by-nobody"),
        pytest.param({"verdict": "confirmed", "at": datetime(2031, 3, 4)}, "timezone", id="no-zone"),  # noqa: DTZ001
    ],
)
def test_a_decision_that_lacks_something_cannot_exist(fields: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        Decision.model_validate(DECISION | fields)


def test_what_is_taken_back_stays_on_the_record() -> None:
    decision = Decision.model_validate(DECISION | {"verdict": "amended", "words": {"size": "10 mm"}})
    undone = decision.undone(2, AT)
    assert (undone.undone_by, undone.undone_at, undone.words) == (2, AT, decision.words)


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"outcome": "answered", "answer": "behind the flap"}, id="in-words"),
        pytest.param({"outcome": "answered"} | STILL, id="from-the-picture"),
        pytest.param({"outcome": "carried"}, id="carried"),
        pytest.param({"outcome": "not needed"}, id="not-needed"),
    ],
)
def test_a_question_can_be_settled_in_three_ways(fields: dict[str, Any]) -> None:
    assert Settlement.model_validate(SETTLEMENT | fields).outcome == fields["outcome"]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        pytest.param({"outcome": "answered"}, "has an answer", id="answered-by-nothing"),
        pytest.param({"outcome": "answered", "still_sha256": "a" * 64}, "spot", id="still-without-spot"),
        pytest.param({"outcome": "answered", "spot": {"x": 0, "y": 0}}, "spot", id="spot-without-still"),
        pytest.param({"outcome": "answered"} | STILL | {"spot": {"x": 1.2, "y": 0}}, "less than", id="spot-outside"),
        pytest.param({"outcome": "carried", "answer": "later"}, "no answer", id="carried-with-answer"),
        pytest.param({"outcome": "not needed"} | STILL, "no answer", id="not-needed-with-still"),
    ],
)
def test_a_settlement_that_does_not_fit_cannot_exist(fields: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        Settlement.model_validate(SETTLEMENT | fields)


def test_a_play_lasts_some_time() -> None:
    with pytest.raises(ValidationError, match="lasts no time"):
        Play(sha256="a" * 64, by=1, start_s=3, end_s=3, at=AT)
