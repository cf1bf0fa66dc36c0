import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.review.words import amended, changes, pieces
from vouchbook.models.decisions import FieldValue

TEXT = st.lists(st.sampled_from("undo the two bolts left right rear latch 10 mm".split()), max_size=9).map(" ".join)


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        pytest.param("rear latch", "rear latch", [("kept", "rear latch")], id="nothing"),
        pytest.param(
            "the left rear latch",
            "the right rear latch",
            [("kept", "the"), ("out", "left"), ("in", "right"), ("kept", "rear latch")],
            id="one-word",
        ),
        pytest.param("", "10 mm", [("in", "10 mm")], id="put-in"),
        pytest.param("10 mm", "", [("out", "10 mm")], id="taken-out"),
    ],
)
def test_words_are_kept_taken_out_or_put_in(before: str, after: str, told: list[tuple[str, str]]) -> None:
    assert [(piece.what, piece.words) for piece in pieces(before, after)] == told


@given(TEXT, TEXT)
def test_both_texts_can_be_read_from_the_pieces(before: str, after: str) -> None:
    found = pieces(before, after)
    assert " ".join(p.words for p in found if p.what != "in") == before
    assert " ".join(p.words for p in found if p.what != "out") == after


def test_only_fields_that_differ_are_told() -> None:
    as_read: dict[str, FieldValue] = {"action": "undo", "object": "bolts", "count": 3, "size": None}
    told = changes(as_read, amended(as_read, {"count": 4, "action": "undo", "size": "10 mm"}))
    assert [(change.field, change.before, change.after) for change in told] == [
        ("count", 3, 4),
        ("size", None, "10 mm"),
    ]
