"""Steps out of marks: each deed with its own things and place, and the deed that nobody said."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.steps import marked_steps, whole_clauses
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import Things
from vouchbook.extract.tagger.marks import Marks

Steps = Callable[..., list[Candidate]]


@pytest.fixture
def steps(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> Steps:
    def found(*said: str, **marks: dict[str, str]) -> list[Candidate]:
        talk = understand(*said)
        return list(marked_steps(talk, mark(talk, **marks), Things(talk)))

    return found


def told(steps: list[Candidate]) -> list[tuple[str, str]]:
    return [(step.found.fields["action"], step.found.fields["object"]) for step in steps]


@pytest.mark.parametrize(
    ("said", "step", "expected"),
    [
        pytest.param("Lift the lid.", {"Lift": "B-deed", "lid": "B-thing"}, [("lift", "lid")], id="deed-and-thing"),
        pytest.param(
            "Press one short press.",
            {"Press": "B-deed", "one short press": "B-thing"},
            [("press", "")],
            id="how-it-is-pressed-is-no-thing",
        ),
        pytest.param("Lift the lid.", {"Lift": "B-deed", "the lid": "B-thing"}, [("lift", "lid")], id="no-determiner"),
        pytest.param(
            "Push the panel in.",
            {"Push": "B-deed", "panel": "B-thing", "in": "I-deed"},
            [("push in", "panel")],
            id="particle-behind-the-thing",
        ),
        pytest.param(
            "Pull out the plug.", {"Pull out": "B-deed", "plug": "B-thing"}, [("pull out", "plug")], id="particle-first"
        ),
        pytest.param(
            "You're pulling the lever.",
            {"pulling": "B-deed", "lever": "B-thing"},
            [("pull", "lever")],
            id="the-verb-in-its-base-form",
        ),
        pytest.param(
            "Open the flap and press the button.",
            {"Open": "B-deed", "flap": "B-thing", "press": "B-deed", "button": "B-thing"},
            [("open", "flap"), ("press", "button")],
            id="two-deeds-each-with-its-thing",
        ),
        pytest.param(
            "The flap you open, the button you press.",
            {"flap": "B-thing", "open": "B-deed", "button": "B-thing", "press": "B-deed"},
            [("open", "flap"), ("press", "button")],
            id="the-thing-before-its-deed",
        ),
        pytest.param(
            "Unplug the pump and the fan.",
            {"Unplug": "B-deed", "pump": "B-thing", "fan": "B-thing"},
            [("unplug", "pump and fan")],
            id="a-deed-with-two-things",
        ),
        pytest.param(
            "Open the flap. Press the button.",
            {"Open": "B-deed", "button": "B-thing", "Press": "B-deed"},
            [("open", "flap"), ("press", "button")],
            id="a-thing-belongs-to-its-sentence",
        ),
        pytest.param(
            "Undo clips and brackets you then pull.",
            {"Undo": "B-deed", "clips": "B-thing", "brackets": "B-thing", "pull": "B-deed"},
            [("undo", "clips"), ("pull", "brackets")],
            id="a-deed-with-a-thing-leaves-the-next-to-another",
        ),
        pytest.param(
            "Wait, the flap needs lifting.",
            {"Wait": "B-deed", "flap": "B-thing", "lifting": "B-deed"},
            [("wait", ""), ("lift", "flap")],
            id="a-thing-belongs-to-its-clause",
        ),
        pytest.param("Use the kiosk.", {"Use": "B-deed"}, [("use", "kiosk")], id="the-noun-behind-a-deed"),
        pytest.param("Wait.", {"Wait": "B-deed"}, [("wait", "")], id="a-deed-with-no-thing"),
        pytest.param("Lift the lid.", {"Lift": "I-deed", "lid": "B-thing"}, [("lift", "lid")], id="opened-by-the-rest"),
        pytest.param("Lift the lid.", {}, [], id="nothing-is-marked"),
    ],
)
def test_a_deed_gets_its_things(steps: Steps, said: str, step: dict[str, str], expected: list[tuple[str, str]]) -> None:
    assert told(steps(said, step=step)) == expected


def test_the_thing_of_a_pronoun_is_the_one_named_before_and_supports_the_step(
    steps: Steps, understand: Callable[..., Talk]
) -> None:
    said = ("There's a cover over the pump.", "Lift it.")
    (step,) = steps(*said, step={"Lift": "B-deed"})
    assert told([step]) == [("lift", "cover")]
    ((start, end),) = step.found.also
    assert understand(*said).doc[start:end].text == "a cover"
    assert "the thing was named before" in step.found.reasons


@pytest.mark.parametrize(
    ("said", "thing"),
    [
        pytest.param("There's a cover and two clips. Undo them.", "two clips", id="them-are-several"),
        pytest.param("There's a cover and two clips. Undo it.", "cover", id="it-is-one"),
    ],
)
def test_a_pronoun_means_a_thing_of_its_number(steps: Steps, said: str, thing: str) -> None:
    (step,) = steps(said, step={"Undo": "B-deed"})
    assert step.found.fields["object"] == thing


def test_a_thing_in_the_same_clause_needs_no_support(steps: Steps) -> None:
    (step,) = steps("The lid, lift it.", step={"lift": "B-deed", "lid": "B-thing"})
    assert step.found.also == ()


def test_the_rest_of_another_deed_is_no_deed(steps: Steps) -> None:
    said = "Somebody carries the key fob five metres away."
    assert steps(said, step={"away": "B-deed"}) == []


def test_a_place_belongs_to_its_deed(steps: Steps) -> None:
    first, second = steps(
        "Pull the plug behind the seat and press the button on the post.",
        step={
            "Pull": "B-deed", "plug": "B-thing", "behind the seat": "B-place",
            "press": "B-deed", "button": "B-thing", "on the post": "B-place",
        },
    )  # fmt: skip
    assert (first.found.fields["place"], second.found.fields["place"]) == ("behind the seat", "on the post")


def test_a_step_without_a_place_has_none(steps: Steps) -> None:
    (step,) = steps("Lift the lid.", step={"Lift": "B-deed", "lid": "B-thing"})
    assert step.found.fields["place"] is None


@pytest.mark.parametrize(
    ("said", "step", "plainer", "expected"),
    [
        pytest.param(
            "The cover first.", {"cover": "B-alone"}, {"cover": "remove"}, ("remove", "cover"), id="marked-alone"
        ),
        pytest.param(
            "The cover first.", {"cover": "B-thing"}, {"cover": "remove"}, ("remove", "cover"), id="no-deed-is-near"
        ),
    ],
)
def test_a_deed_may_be_implied(
    steps: Steps, said: str, step: dict[str, str], plainer: dict[str, str], expected: tuple[str, str]
) -> None:
    (found,) = steps(said, step=step, deed=plainer)
    assert told([found]) == [expected]
    assert found.is_implied
    assert "the deed is implied, nobody said it" in found.found.reasons


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("The cover first.", id="of-two-that-are-as-likely-neither-is-told"),
        pytest.param("The red lever. Pull it.", id="what-is-done-is-said-right-behind"),
    ],
)
def test_a_deed_is_not_guessed(steps: Steps, said: str) -> None:
    thing = said.split(".")[0].split()[1]
    plainer = {} if said == "The cover first." else {thing: "remove"}
    assert steps(said, step={thing: "B-alone"}, deed=plainer) == []


def test_a_deed_may_be_told_in_a_plainer_verb(steps: Steps) -> None:
    (step,) = steps("Whip the cover off.", step={"Whip": "B-deed", "cover": "B-thing"}, deed={"Whip": "remove"})
    assert told([step]) == [("remove", "cover")]
    assert not step.is_implied
    assert "the deed is told in a plainer verb" in step.found.reasons


@pytest.mark.parametrize(
    ("said", "step", "count"),
    [
        pytest.param("Undo the four bolts.", {"Undo": "B-deed", "bolts": "B-thing"}, 4, id="in-the-thing"),
        pytest.param(
            "There's six clips. Undo the clips.", {"Undo": "B-deed", "the clips": "B-thing"}, 6, id="beside-it"
        ),
        pytest.param("Six clips on the lid.", {"Six clips": "B-alone"}, 6, id="of-an-implied-deed"),
        pytest.param("Undo the bolts.", {"Undo": "B-deed", "bolts": "B-thing"}, None, id="nobody-said-one"),
        pytest.param("There's six clips. Lift the lid.", {"Lift": "B-deed", "lid": "B-thing"}, None, id="of-others"),
    ],
)
def test_a_count_is_that_of_the_thing(steps: Steps, said: str, step: dict[str, str], count: int | None) -> None:
    (found,) = steps(said, step=step, deed={"clips": "remove"} if "Six clips" in step else {})
    assert (found.found.count and found.found.count.quantity.value) == count


def test_a_step_is_as_sure_as_its_deed_is_marked(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> None:
    talk = understand("Lift the lid.")
    (step,) = marked_steps(talk, mark(talk, step={"Lift": "B-deed", "lid": "B-thing"}, sure=0.6), Things(talk))
    assert step.sure == step.found.act == pytest.approx(0.6)
    assert talk.doc[step.head].text == "Lift"


def test_a_doubtful_mark_makes_no_step(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> None:
    talk = understand("Lift the lid.")
    marks = mark(talk, step={"Lift": "B-deed", "lid": "B-thing"}, sure=0.2)
    assert list(marked_steps(talk, marks, Things(talk))) == []


@pytest.mark.parametrize("said", ["So you lift", "Then lift it and pull", "lift"])
def test_a_talk_may_end_with_its_deed(steps: Steps, said: str) -> None:
    (step,) = steps(said, step={said.split()[-1]: "B-deed"})
    assert step.found.fields["action"] == said.split()[-1]


def test_a_step_is_quoted_in_whole_clauses(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> None:
    talk = understand("So then lift the lid slowly, it's heavy.")
    (step,) = marked_steps(talk, mark(talk, step={"lift": "B-deed", "lid": "B-thing"}), Things(talk))
    assert talk.doc[step.found.start : step.found.end].text == "So then lift the lid slowly"
    assert whole_clauses(talk, 3, 4) == (step.found.start, step.found.end)


def test_punctuation_marked_as_a_deed_is_none(steps: Steps) -> None:
    assert told(steps("Lift the lid.", step={"Lift": "B-deed", "lid": "B-thing", ".": "B-deed"})) == [("lift", "lid")]
