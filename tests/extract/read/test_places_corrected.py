"""A place that is taken back in the same breath is told nowhere; the one that stands is."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import LocationItem, StepItem
from vouchbook.models.transcript import Transcript


@pytest.mark.parametrize(
    ("said", "place"),
    [
        pytest.param("The isolator is behind the seat, sorry, under the seat.", "under the seat", id="sorry"),
        pytest.param(
            "The isolator is on the left, no, sorry, on the right-hand side frame.",
            "on the right-hand side frame",
            id="no",
        ),
        pytest.param("The isolator is on the left, no wait, on the right.", "on the right", id="no-wait"),
        pytest.param("The isolator is on the left, by the door.", "on the left, by the door", id="two-words-for-it"),
    ],
)
def test_a_location_is_where_it_stands_in_the_end(
    reader: Reader, spoken: Callable[..., Transcript], said: str, place: str
) -> None:
    (location,) = [i for i in reader.read(spoken(said)).items if isinstance(i, LocationItem)]
    assert location.place == place
    assert said.rstrip(".").endswith(location.evidence[0].quote.rstrip(".")[-8:]), (
        "its words hold the place that stands"
    )


def test_a_step_is_done_where_it_stands_in_the_end(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    draft = reader.read(spoken("Pull the lever on the left, no wait, on the right."))
    (step,) = [i for i in draft.items if isinstance(i, StepItem)]
    assert (step.action, step.object, step.place) == ("pull", "lever", "on the right")
    assert "“on the left” is taken back" in step.reasons
