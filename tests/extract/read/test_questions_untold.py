"""What the packs want told of a subject, and nobody spoke of."""

from collections.abc import Callable
from typing import Any

import pytest

from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.table import pack_from_table
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Transcript

Spoken = Callable[..., Transcript]
TOPICS = [
    {
        "phase": "disable",
        "about": "where the ballast tap is",
        "ask": "Where is the ballast tap?",
        "words": ["ballast tap", "service plug"],
        "only_if": ["ballast", "float tank"],
    },
    {"phase": "disable", "about": "what the loft crank does", "words": ["loft crank", "crank it by hand"]},
    {"phase": "submersion", "about": "how deep it may stand", "ask": "How deep may it stand?", "words": ["depth mark"]},
]
DISABLED = "Isolate it, pull the service disconnect and prove it dead."
"""Speaks firmly of taking the energy away."""


@pytest.fixture(scope="module")
def station() -> Reader:
    """Reads with a department's own pack over the common one."""
    part = [{"term": "float tank", "synonyms": ["ballast cistern", "keg"]}, {"term": "loft crank"}]
    plug = [{"term": "service plug", "synonyms": ["zebra brick"]}]
    table: dict[str, Any] = {"name": "station", "title": "Ours", "topics": TOPICS, "part": [*part, *plug]}
    return Reader(layered(load_pack("common"), pack_from_table(table, "station.toml")), None)


def asked(reader: Reader, transcript: Transcript) -> dict[str, OpenQuestion]:
    """The questions about what was not told, by what they are about; those of the common pack left out."""
    own = {str(topic["about"]) for topic in TOPICS}
    questions = reader.read(transcript).open_questions
    return {q.about: q for q in questions if q.kind == "untold" and q.about in own}


def test_it_is_asked_as_a_question_for_the_next_visit(station: Reader, spoken: Spoken) -> None:
    found = asked(station, spoken(DISABLED, DISABLED, "The ballast sits low.", "Mind the ballast."))
    tap, crank = found["where the ballast tap is"], found["what the loft crank does"]
    assert (tap.phase, tap.evidence) == (Phase.DISABLE, ())
    assert tap.ask == "Nobody spoke of where the ballast tap is. Where is the ballast tap?"
    assert crank.ask == "Nobody spoke of what the loft crank does. What is there to know of it?"


@pytest.mark.parametrize(
    ("said", "is_asked"),
    [
        pytest.param(("The ballast sits low.", "Mind the ballast."), True, id="called-for"),
        pytest.param(("The ballast sits low.", "The float tank is full."), True, id="by-two-of-its-words"),
        pytest.param(("The ballast sits low.", "Mind the ballast cistern."), True, id="by-another-name"),
        pytest.param(("The ballast sits low.",), False, id="said-once"),
        pytest.param(("The keg is full.", "Mind the keg."), False, id="a-short-name-is-said-of-other-things"),
        pytest.param(("The pump hums.",), False, id="not-called-for"),
        pytest.param(
            ("The ballast sits low.", "Mind the ballast.", "The ballast taps are up there."), False, id="told"
        ),
        pytest.param(
            ("The ballast sits low.", "Mind the ballast.", "The zebra brick is in there."),
            False,
            id="told-by-a-synonym",
        ),
    ],
)
def test_a_topic_with_a_condition_is_due_when_the_talk_calls_for_it(
    station: Reader,
    spoken: Spoken,
    said: tuple[str, ...],
    is_asked: bool,  # noqa: FBT001
) -> None:
    assert ("where the ballast tap is" in asked(station, spoken(DISABLED, DISABLED, *said))) == is_asked


@pytest.mark.parametrize(
    "told",
    ["Turn the loft crank.", "You crank it by hand.", "There are two loft cranks.", "What's the loft crank for?"],
)
def test_what_was_touched_is_not_asked_for(station: Reader, spoken: Spoken, told: str) -> None:
    assert "what the loft crank does" in asked(station, spoken(DISABLED, DISABLED))
    assert "what the loft crank does" not in asked(station, spoken(DISABLED, DISABLED, told))


def test_a_topic_whose_phase_is_left_out_is_told_once_with_that_phase(station: Reader, spoken: Spoken) -> None:
    draft = station.read(spoken(DISABLED, DISABLED))
    (whole,) = [q for q in draft.open_questions if q.kind == "uncovered" and q.phase is Phase.SUBMERSION]
    assert whole.ask == "What if it stands in water or has been flooded? How deep may it stand?"
    assert "how deep it may stand" not in asked(station, spoken(DISABLED, DISABLED))


def test_the_topics_of_all_packs_are_carried() -> None:
    packs = [load_pack(name) for name in ("common", "road_vehicles", "building_energy", "lifting_industrial")]
    abouts = {(topic.phase, topic.about) for pack in packs for topic in pack.topics}
    assert {(topic.phase, topic.about) for topic in layered(*packs).topics} == abouts


@pytest.mark.parametrize(
    ("said", "about", "is_asked"),
    [
        pytest.param(
            ("It's battery-electric.", "The high-voltage battery sits under the floor.", "Turn the ignition off."),
            "how the high-voltage system is shut down by hand",
            True,
            id="battery-vehicle",
        ),
        pytest.param(
            ("It's a hybrid.", "The hybrid has a cut loop under the bonnet.", "Cut the loop, turn the ignition off."),
            "how the high-voltage system is shut down by hand",
            False,
            id="its-loop-is-told",
        ),
        pytest.param(
            ("Turn the ignition off and take the key away.", "It burns diesel."),
            "how the high-voltage system is shut down by hand",
            False,
            id="no-high-voltage",
        ),
    ],
)
def test_a_battery_vehicle_without_its_disconnect_is_asked_for_it(
    reader: Reader,
    spoken: Spoken,
    said: tuple[str, ...],
    about: str,
    is_asked: bool,  # noqa: FBT001
) -> None:
    draft = reader.read(spoken(*said, DISABLED.replace("pull the service disconnect", "switch it off"), *said))
    assert (about in {q.about for q in draft.open_questions if q.kind == "untold"}) == is_asked


NEAR = [
    {"phase": "disable", "about": "how the sluice is shut", "words": ["sluice", "penstock", "weir", "paddle"]},
    {
        "phase": "disable",
        "about": "how the sluice is shut at the pond",
        "words": ["sluice", "penstock", "weir", "pond"],
    },
    {"phase": "disable", "about": "how the mill is stopped", "words": ["mill", "penstock", "stones", "belt"]},
]


@pytest.mark.parametrize(
    ("said", "abouts"),
    [
        pytest.param([], ["how the sluice is shut", "how the mill is stopped"], id="asked-once"),
        pytest.param(["The pond is behind it."], ["how the mill is stopped"], id="told-by-words-of-the-other"),
        pytest.param(["The belt is slack."], ["how the sluice is shut"], id="another-gap"),
    ],
)
def test_a_gap_that_two_topics_ask_for_in_nearly_the_same_words_is_asked_once(
    spoken: Spoken, said: list[str], abouts: list[str]
) -> None:
    table: dict[str, Any] = {"name": "mills", "title": "Mills", "topics": NEAR}
    reader = Reader(layered(load_pack("common"), pack_from_table(table, "mills.toml")), None)
    questions = reader.read(spoken(DISABLED, DISABLED, *said)).open_questions
    ours = {str(topic["about"]) for topic in NEAR}
    assert [q.about for q in questions if q.about in ours] == abouts
