"""Words that only the picture explains."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import LocationItem
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript


@pytest.fixture
def pointers(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[OpenQuestion]]:
    return lambda *said: [q for q in reader.read(spoken(*said)).open_questions if q.kind == "pointer"]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("The orange cables come up here and here.", id="here-and-here"),
        pytest.param("Look at this one here.", id="this-one-here"),
        pytest.param("It's this one and that one.", id="this-and-that"),
        pytest.param("See that dial there.", id="that-dial-there"),
        pytest.param("Cut from here down to here.", id="from-here-to-here"),
        pytest.param("Turn it about that far out.", id="that-far"),
        pytest.param("It sits just here.", id="just-here"),
        pytest.param("That's where my finger is.", id="a-finger"),
        pytest.param("The spanner hangs here.", id="hangs-here"),
        pytest.param("Push this tab.", id="this-tab"),
        pytest.param("Slacken this and this.", id="this-and-this"),
        pytest.param("Turn it like this.", id="turned-like-this"),
    ],
)
def test_a_sentence_that_points_is_a_question(pointers: Callable[..., list[OpenQuestion]], said: str) -> None:
    (question,) = pointers(said)
    assert question.evidence[0].quote == said
    assert question.ask.startswith("Which place is meant by")


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Here we are.", id="here-we-are"),
        pytest.param("Here's the thing.", id="heres"),
        pytest.param("He's not here.", id="not-here"),
        pytest.param("This time it works.", id="this-time"),
        pytest.param("There's a flap behind the badge.", id="there-is"),
        pytest.param("Press the grey button.", id="told-in-words"),
        pytest.param("It's always like this.", id="always-like-this"),
        pytest.param("I've had the door come off one of those.", id="a-sort-of-thing"),
        pytest.param("If it's pink, that one's poorly.", id="the-one-just-named"),
    ],
)
def test_these_point_at_nothing(pointers: Callable[..., list[OpenQuestion]], said: str) -> None:
    assert pointers(said) == []


def test_an_officer_who_points_asks_about_the_picture_too(pointers: Callable[..., list[OpenQuestion]]) -> None:
    (question,) = pointers(
        "Ada: And this brass one here?", "Bo: That.", "Ada: Is it?", "Bo: Yes.", "Ada: So?", "Bo: So."
    )
    assert question.about == "and this brass one here"


def test_a_pointed_place_is_never_made_up(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    draft = reader.read(spoken("The orange cables come up here and here."))
    assert [item for item in draft.items if isinstance(item, LocationItem)] == []
