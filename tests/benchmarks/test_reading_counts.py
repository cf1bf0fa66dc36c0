"""Counting, and the spans that the open sets hold."""

import pytest
from reading.counts import Counts
from reading.open_sets import tagged


def test_counts_are_pooled_and_repeats_count_each() -> None:
    counts = Counts()
    counts.add(["a", "a", "b"], ["a", "c"])
    counts.add(["d"], ["d", "d"])
    assert (counts.right, counts.found, counts.gold) == (2, 4, 4)
    assert counts.row() == "50.0 / 50.0 / 50.0"


def test_precision_and_recall_are_not_swapped() -> None:
    counts = Counts()
    counts.add([1, 2, 3, 4], [1])
    assert counts.row() == "100.0 / 25.0 / 40.0"


@pytest.mark.parametrize(
    ("gold", "found"), [([], []), ([], [1]), ([1], [])], ids=["nothing", "only found", "only gold"]
)
def test_nothing_right_is_zero(gold: list[int], found: list[int]) -> None:
    counts = Counts()
    counts.add(gold, found)
    assert counts.row() == "0.0 / 0.0 / 0.0"


@pytest.mark.parametrize(
    ("tags", "spans"),
    [
        ("B-Action O B-Action", [(0, 0), (2, 2)]),
        ("B-Action I-Action O", [(0, 1)]),
        ("B-Action B-Action I-Action", [(0, 0), (1, 2)]),
        ("O I-Action O", []),
        ("B-Action O I-Action", [(0, 0)]),
        ("B-Time I-Time", []),
    ],
    ids=["two", "long", "side by side", "inside alone", "inside after a gap", "another kind"],
)
def test_tags_give_spans(tags: str, spans: list[tuple[int, int]]) -> None:
    assert tagged(tags.split(), "Action") == spans
