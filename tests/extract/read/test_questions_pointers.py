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
        pytest.param("Look at this one here.", id="this-one-here"),
        pytest.param("See that dial there.", id="that-dial-there"),
        pytest.param("Cut from here down to here.", id="from-here-to-here"),
        pytest.param("Turn it about that far out.", id="that-far"),
        pytest.param("It sits just here.", id="just-here"),
        pytest.param("That's where my finger is.", id="a-finger"),
        pytest.param("The spanner hangs here.", id="hangs-here"),
        pytest.param("Push this tab.", id="this-tab"),
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
        pytest.param("Get in there and stay in there.", id="a-place-just-told"),
    ],
)
def test_these_point_at_nothing(pointers: Callable[..., list[OpenQuestion]], said: str) -> None:
    assert pointers(said) == []


@pytest.mark.parametrize(
    ("said", "places"),
    [
        pytest.param(
            "Two here at the feed table, one down there by the outfeed, and that one.",
            [
                ("Two here", "Two here at the feed table,"),
                ("one down there", "one down there by the outfeed,"),
                ("that one", "that one."),
            ],
            id="three-places",
        ),
        pytest.param(
            "The orange cables come up here and here.",
            [("up here", "The orange cables come up here"), ("here", "here.")],
            id="here-and-here",
        ),
        pytest.param(
            "It's this one and that one.",
            [("this one", "It's this one"), ("that one", "that one.")],
            id="this-and-that",
        ),
        pytest.param("Slacken this and this.", [("this", "Slacken this"), ("this", "this.")], id="this-and-this"),
        pytest.param(
            "Push this tab here and lift that one there.",
            [("this tab here", "Push this tab here"), ("that one there", "lift that one there.")],
            id="two-deeds",
        ),
        pytest.param(
            "There are two stops, one here and one up there behind the rail.",
            [("one here", "There are two stops, one here"), ("one up there", "one up there behind the rail.")],
            id="of-two-things",
        ),
    ],
)
def test_each_place_pointed_at_is_a_question_of_its_own(
    pointers: Callable[..., list[OpenQuestion]], said: str, places: list[tuple[str, str]]
) -> None:
    questions = pointers(said)
    assert [q.evidence[0].quote for q in questions] == [words for _, words in places]
    for number, (question, (by, _)) in enumerate(zip(questions, places, strict=True), start=1):
        asked = f"Which place is meant by \u201c{by}\u201d ({number} of {len(places)}) in: "
        assert question.ask.lower().startswith(asked.lower())


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("It's that one, there.", id="said-twice"),
        pytest.param("Cut from here down to there.", id="one-stretch"),
        pytest.param("Look at this one here, there's a nut behind it.", id="there-is"),
        pytest.param("Press this one here and that one goes off.", id="what-it-does"),
    ],
)
def test_one_place_is_one_question(pointers: Callable[..., list[OpenQuestion]], said: str) -> None:
    assert len(pointers(said)) == 1


def test_an_officer_who_points_asks_about_the_picture_too(pointers: Callable[..., list[OpenQuestion]]) -> None:
    (question,) = pointers(
        "Ada: And this brass one here?", "Bo: That.", "Ada: Is it?", "Bo: Yes.", "Ada: So?", "Bo: So."
    )
    assert question.about == "and this brass one here"


def test_a_pointed_place_is_never_made_up(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    draft = reader.read(spoken("The orange cables come up here and here."))
    assert [item for item in draft.items if isinstance(item, LocationItem)] == []
