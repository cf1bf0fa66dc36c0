"""Where a component is: the forms in which a place is told, and what is no place of a component."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import LocationItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def locations(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[tuple[str, str]]]:
    def found(*said: str) -> list[tuple[str, str]]:
        items = reader.read(spoken(*said)).items
        return [(item.part, item.place) for item in items if isinstance(item, LocationItem)]

    return found


@pytest.mark.parametrize(
    ("said", "part", "place"),
    [
        pytest.param("The flap is behind the badge.", "flap", "behind the badge", id="is-at"),
        pytest.param("There's a red tap under the step.", "red tap", "under the step", id="there-is"),
        pytest.param("You've got two switches under the dash.", "two switches", "under the dash", id="you-have"),
        pytest.param("Left of the door there's a flap.", "flap", "left of the door", id="place-first"),
        pytest.param(
            "Main switch, in the porch, on your right.", "main switch", "in the porch, on your right", id="runs-on"
        ),
        pytest.param("Grey plug. Left of the seat.", "Grey plug", "left of the seat", id="place-in-the-next-sentence"),
        pytest.param("The battery sits low down, behind the rear axle.", "battery", "behind the rear axle", id="sits"),
        pytest.param("The orange cables run along the sill.", "orange cables", "along the sill", id="runs-along"),
        pytest.param("The brake's the lever under the dash.", "brake", "under the dash", id="is-the-thing-at"),
        pytest.param("The box on top, that's the oil pump.", "oil pump, box", "on top", id="named-behind"),
    ],
)
def test_a_place_is_told(locations: Callable[..., list[tuple[str, str]]], said: str, part: str, place: str) -> None:
    assert locations(said) == [(part, place)]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Press the button under the seat.", id="told-inside-an-order"),
        pytest.param("Don't go behind the tank.", id="forbidden"),
        pytest.param("The flap isn't under the seat.", id="where-it-is-not"),
        pytest.param("The flap is stuck under the seat.", id="how-it-is-fixed"),
        pytest.param("The bolts are behind the badge.", id="fasteners-belong-to-their-step"),
        pytest.param("The crew is behind the truck.", id="people"),
        pytest.param("You get a spray in your face.", id="a-body"),
        pytest.param("Smoke comes out of the vent.", id="what-is-perceived"),
        pytest.param("Is it behind the badge?", id="a-question"),
        pytest.param("It moves on its own.", id="no-place"),
    ],
)
def test_no_location_is_made_of(locations: Callable[..., list[tuple[str, str]]], said: str) -> None:
    assert locations(said) == []


def test_a_bare_place_answers_where_it_is(locations: Callable[..., list[tuple[str, str]]]) -> None:
    found = locations(
        "Ada: And where's the isolator?", "Bo: Behind the front wheel.", "Ada: And the key?", "Bo: It's in the locker.",
        "Ada: Is that all?", "Bo: That's all.",
    )  # fmt: skip
    assert found == [("isolator", "behind the front wheel"), ("key", "in the locker")]


def test_the_same_place_told_again_is_one_location(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    draft = reader.read(spoken("The flap is behind the badge.", "As I said, the flap is behind the badge."))
    (item,) = draft.items
    assert len(item.evidence) == 2
    assert "said more than once" in item.reasons
