"""nDCG of orders that are worked out by hand, and the table of judgements."""

from math import log2

import pytest
from search_ranking import ndcg, questions

GRADES = {"answers": 2, "helps": 1, "neither": 0}
BEST = 3 + 1 / log2(3)


@pytest.mark.parametrize(
    ("ranked", "gain"),
    [
        pytest.param(["answers", "helps", "neither"], BEST, id="best-first"),
        pytest.param(["helps", "answers"], 1 + 3 / log2(3), id="turned-round"),
        pytest.param(["neither", "answers"], 3 / log2(3), id="one-place-down"),
        pytest.param(["unknown", "neither"], 0, id="nothing-that-helps"),
        pytest.param([], 0, id="no-answer"),
        pytest.param([*(f"other {n}" for n in range(10)), "answers"], 0, id="behind-the-tenth"),
    ],
)
def test_an_order_gains_its_share_of_the_best(ranked: list[str], gain: float) -> None:
    assert ndcg(ranked, GRADES) == pytest.approx(gain / BEST)


def test_every_question_has_a_sentence_that_helps_and_known_grades() -> None:
    asked = questions()
    assert len(asked) >= 40
    for (_, question), grades in asked.items():
        assert set(grades.values()) <= {0, 1, 2}, question
        assert any(grades.values()), question
