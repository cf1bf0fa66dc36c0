"""What is asked of the tagger's answers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.tagger.marks import Marks

LABELS = ("O", "B-name", "I-name", "B-size")
ROWS = ((0.7, 0.1, 0.2, 0.0), (0.1, 0.5, 0.1, 0.3), (0.0, 0.25, 0.25, 0.5))


@pytest.fixture
def marks() -> Marks:
    return Marks({"tool": np.array(ROWS, np.float32)}, {"tool": LABELS})


@pytest.mark.parametrize(
    ("names", "column"),
    [
        pytest.param(("B-name",), (0.1, 0.5, 0.25), id="one"),
        pytest.param(("B-name", "I-name"), (0.3, 0.6, 0.5), id="two"),
        pytest.param(LABELS, (1, 1, 1), id="all"),
        pytest.param((), (0, 0, 0), id="none"),
    ],
)
def test_a_column_sums_its_answers(marks: Marks, names: tuple[str, ...], column: tuple[float, ...]) -> None:
    assert marks.column("tool", *names).tolist() == pytest.approx(column)


def test_any_is_all_but_the_answer_that_there_is_none(marks: Marks) -> None:
    assert marks.any("tool").tolist() == pytest.approx((0.3, 0.9, 1.0))


@pytest.mark.parametrize(
    ("start", "end", "among", "name", "share"),
    [
        pytest.param(0, 1, None, "O", 0.7, id="of-one-word"),
        pytest.param(1, 3, None, "B-size", 0.4, id="by-the-mean-of-several"),
        pytest.param(0, 1, ("B-name", "I-name"), "I-name", 0.2, id="among-some"),
        pytest.param(1, 3, ("O",), "O", 0.05, id="among-one"),
        pytest.param(2, 3, ("I-name", "B-name"), "I-name", 0.25, id="the-first-named-of-two-alike"),
    ],
)
def test_the_best_answer(
    marks: Marks, start: int, end: int, among: tuple[str, ...] | None, name: str, share: float
) -> None:
    best, probability = marks.best("tool", start, end, among)
    assert best == name
    assert probability == pytest.approx(share)


def test_an_answer_that_is_not_known_is_refused(marks: Marks) -> None:
    with pytest.raises(ValueError, match="tuple"):
        marks.column("tool", "B-nonsense")


@given(st.lists(st.lists(st.floats(0.001, 1), min_size=4, max_size=4), min_size=1, max_size=20))
def test_the_best_answer_is_never_beaten(rows: list[list[float]]) -> None:
    table = np.array(rows, np.float32)
    marks = Marks({"tool": table / table.sum(axis=1, keepdims=True)}, {"tool": LABELS})
    _, share = marks.best("tool", 0, len(rows))
    for name in LABELS:
        assert share >= float(marks.column("tool", name).mean()) - 1e-6
