import pytest

from vouchbook.library.review.amendments import changed_values, opposed
from vouchbook.models.decisions import FieldValue

AS_READ: dict[str, FieldValue] = {
    "action": "undo",
    "object": "two bolts on the left of the cover",
    "place": "under the seat",
    "condition": "before you lift it",
    "size": "10 mm",
    "count": 2,
}


@pytest.mark.parametrize(
    ("words", "fields"),
    [
        pytest.param({"action": "take out"}, (), id="other-verb"),
        pytest.param({"object": "two screws on the left of the lid"}, (), id="other-thing"),
        pytest.param({"object": "three bolts on the left of the cover"}, ("object",), id="number"),
        pytest.param({"object": "two bolts on the right of the cover"}, ("object",), id="side"),
        pytest.param({"condition": "after you lift it"}, ("condition",), id="before-and-after"),
        pytest.param({"action": "never undo"}, ("action",), id="not"),
        pytest.param({"size": "13 mm"}, ("size",), id="size"),
        pytest.param({"size": None, "count": 4}, ("size", "count"), id="size-gone-and-count"),
        pytest.param({"size": "10 mm", "count": 2}, (), id="the-same"),
        pytest.param({"place": "under the seat, 40 cm in"}, ("place",), id="distance-put-in"),
    ],
)
def test_an_amendment_that_changes_a_value_is_known(words: dict[str, FieldValue], fields: tuple[str, ...]) -> None:
    assert changed_values(AS_READ, words) == fields


@pytest.mark.parametrize(
    ("one", "other", "sides"),
    [
        pytest.param("left of the door", "right of the door", ("left", "right"), id="left-right"),
        pytest.param("behind the rear seat", "behind the front seat", ("rear", "front"), id="rear-front"),
        pytest.param("left of the door", "behind the door", None, id="one-side-only"),
        pytest.param("left and right", "right", None, id="both"),
    ],
)
def test_sides_that_exclude_each_other(one: str, other: str, sides: tuple[str, str] | None) -> None:
    assert opposed(one, other) == sides
