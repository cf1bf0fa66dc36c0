"""Statements that cannot both be true, and pairs of values that only look like it."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript


@pytest.fixture
def conflicts(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[OpenQuestion]]:
    return lambda *said: [q for q in reader.read(spoken(*said)).open_questions if q.kind == "conflict"]


@pytest.mark.parametrize(
    ("said", "about"),
    [
        pytest.param(
            ["Give it five minutes to bleed down.", "Fine.", "Wait ten minutes before you open it."],
            "wait: 5 min or 10 min",
            id="wait",
        ),
        pytest.param(
            ["Keep everybody back thirty metres.", "Stand back fifty metres."],
            "distance: 30 m or 50 m",
            id="distance",
        ),
        pytest.param(
            ["There are eight airbags in it.", "You have six airbags."], "number of airbag: 8 or 6", id="number"
        ),
        pytest.param(
            ["Ada: Undo the bolts, ten mil.", "Bo: No, those are thirteen.", "Ada: Hm.", "Bo: Hm."],
            "size: 10 mm or 13 mm",
            id="size",
        ),
        pytest.param(
            ["Ada: It leaves on the left.", "Bo: No, it's the right on the older ones."],
            "side: left or right",
            id="side",
        ),
        pytest.param(
            ["Mags: The bearing cap is on with bolts, sixteens.", "Ott: They're eighteens since the overhaul."],
            "number: 16 or 18",
            id="another-voice-sets-it-right",
        ),
        pytest.param(
            ["Mags: The guard's bolts are a seventeen.", "Ott: Nineteen, Mags."],
            "number: 17 or 19",
            id="another-voice-says-only-its-own",
        ),
        pytest.param(
            ["Pia: It's ninety bar in that line.", "Ott: I was told seventy."],
            "pressure: 90 bar or 70",
            id="what-somebody-was-told",
        ),
        pytest.param(
            ["Rolf: The wheel turns clockwise.", "Ines: Anticlockwise."],
            "side: clockwise or anticlockwise",
            id="another-voice-says-only-its-side",
        ),
    ],
)
def test_two_statements_that_disagree_are_a_question(
    conflicts: Callable[..., list[OpenQuestion]], said: list[str], about: str
) -> None:
    (question,) = conflicts(*said)
    assert question.about == about
    spoken_by = [line.partition(": ")[2] or line for line in said]
    assert [e.quote in spoken_by for e in question.evidence] == [True, True]
    assert question.ranges == tuple((e.start_s, e.end_s) for e in question.evidence)


@pytest.mark.parametrize(
    ("said", "about", "quotes"),
    [
        pytest.param(
            ["Pia: Leave the kiln an hour before you open it.", "Ott: Right.", "Pia: The fan is on the far wall.",
             "Pia: The plate on the kiln says two hours."],
            "wait: 1 h or 2 h",
            [0, 3],
            id="a-plate-says-otherwise",
        ),
        pytest.param(
            ["Rolf: Everybody stays back twenty metres.", "Ines: Right.", "Rolf: The fan is on top.",
             "Rolf: I said twenty before, make it forty metres."],
            "distance: 20 m or 40 m",
            [0, 3],
            id="second-thoughts",
        ),
        pytest.param(
            ["Rolf: The drum takes nine minutes to stop.", "Ines: So nine minutes for the drum.",
             "Rolf: The book says twelve minutes for the drum."],
            "wait: 9 min or 12 min",
            [0, 1, 2],
            id="read-back-in-between",
        ),
        pytest.param(
            ["So wait five minutes.", "Then lift the lid.", "How long was it for the drum?", "Ten minutes."],
            "wait: 5 min or 10 min",
            [0, 3],
            id="asked-again",
        ),
        pytest.param(
            ["Rolf: The drum coasts two minutes.", "Ines: Fine.", "Rolf: The lid is on top.",
             "Rolf: That drum will coast four minutes in summer."],
            "wait: 2 min or 4 min",
            [0, 3],
            id="told-twice-of-one-thing",
        ),
    ],
)  # fmt: skip
def test_what_is_taken_up_again_is_set_against_what_was_told_first(
    conflicts: Callable[..., list[OpenQuestion]], said: list[str], about: str, quotes: list[int]
) -> None:
    (question,) = conflicts(*said)
    assert question.about == about
    assert [e.quote in said[n] for e, n in zip(question.evidence, quotes, strict=True)] == [True for _ in quotes]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param(
            ["Ines: How many bolts?", "Rolf: Four.", "Ines: And what size are they?", "Rolf: Seventeen."],
            id="two-answers-to-two-questions",
        ),
        pytest.param(["Rolf: Undo the clamp, it's a ten, no, twelve mil.", "Ines: Fine."], id="corrected-by-one-voice"),
        pytest.param(["Rolf: The ladder is by column two.", "Ines: It's three metres up."], id="a-number-for-a-name"),
        pytest.param(["Rolf: Item three.", "Ines: Item four."], id="items-of-a-list"),
        pytest.param(["Rolf: Two straps on it.", "Ines: They're four hooks each."], id="counts-of-two-things"),
        pytest.param(
            ["Rolf: The tap is on the left.", "Ines: To the right of the door is a switch."], id="a-place-of-its-own"
        ),
        pytest.param(["Give it five minutes to bleed down.", "Wait five minutes before you open it."], id="they-agree"),
        pytest.param(["Give it five minutes to bleed down.", "Leave it two days."], id="too-far-apart-to-be-one-thing"),
        pytest.param(["Give it five minutes, no, ten minutes to bleed down."], id="corrected-in-one-breath"),
        pytest.param(["Give it five minutes to bleed down.", "It took me ten minutes."], id="a-time-that-is-no-wait"),
        pytest.param(["Give it five minutes to bleed down.", "Do you wait ten minutes?"], id="a-question"),
        pytest.param(
            ["Keep everybody back thirty metres.", "The step is two metres up."], id="a-length-that-is-no-distance"
        ),
        pytest.param(["There are four doors.", "You open two doors."], id="of-doors-there-are-several-sets"),
        pytest.param(["Undo the bolts, ten mil.", "No, those are thirteen."], id="sizes-without-known-voices"),
        pytest.param(["Ada: Ten mil socket.", "Ada: Those are thirteen.", "Bo: Hm."], id="sizes-of-one-voice"),
        pytest.param(["It leaves on the left.", "The other lead runs to the right."], id="sides-of-two-things"),
    ],
)
def test_these_do_not_disagree(conflicts: Callable[..., list[OpenQuestion]], said: list[str]) -> None:
    assert conflicts(*said) == []
