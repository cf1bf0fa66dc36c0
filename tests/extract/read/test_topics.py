"""Talk stays on a topic until words move it; questions move it most easily."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.topics import PHASES, firmly_spoken_for, item_topic, line_topics, spoken_for
from vouchbook.models.phases import Phase

TALK = [
    "How do I recognise it?",
    "There is a badge on the tailgate.",
    "And if it burns?",
    "Use water, a lot of water, and expect thermal runaway to come back.",
    "So keep cooling it.",
]


def test_topics_follow_the_talk(understand: Callable[..., Talk]) -> None:
    assert line_topics(understand(*TALK)) == (Phase.IDENTIFY, Phase.IDENTIFY, Phase.FIRE, Phase.FIRE, Phase.FIRE)


def test_an_empty_talk_has_no_topics(understand: Callable[..., Talk]) -> None:
    assert line_topics(understand()) == ()


def test_talk_without_a_word_of_the_packs_begins_with_what_it_is(understand: Callable[..., Talk]) -> None:
    assert line_topics(understand("Well now.", "So there we go.")) == (Phase.IDENTIFY, Phase.IDENTIFY)


def test_a_line_that_says_nothing_stays_on_the_topic(understand: Callable[..., Talk]) -> None:
    topics = line_topics(understand(*TALK, "That's all I'd say.", "Anything else you'd want."))
    assert set(topics[2:]) == {Phase.FIRE}


@pytest.mark.parametrize(
    ("said", "phase"),
    [
        ("There's thermal runaway.", Phase.FIRE),
        ("Chock the wheels.", Phase.IMMOBILISE),
        ("Pull the service plug.", Phase.DISABLE),
        ("Put it on a flatbed.", Phase.TOWING),
    ],
)
def test_words_of_the_packs_speak_for_their_topic(understand: Callable[..., Talk], said: str, phase: Phase) -> None:
    talk = understand(said)
    scores = dict(zip(PHASES, spoken_for(talk, 0, len(talk.doc)), strict=True))
    assert max(scores, key=lambda each: scores[each]) is phase
    assert scores[phase] > 0


def test_a_word_said_twice_counts_once(understand: Callable[..., Talk]) -> None:
    once, twice = understand("Chock the wheels."), understand("Chock the wheels. Chock the wheels.")
    assert spoken_for(once, 0, len(once.doc)) == spoken_for(twice, 0, len(twice.doc))


def test_sentences_that_firmly_speak_for_a_topic_are_counted(understand: Callable[..., Talk]) -> None:
    talk = understand("Pull the service plug. Lift the lid.", "The service plug is orange.")
    assert firmly_spoken_for(talk)[Phase.DISABLE] == 2


@pytest.mark.parametrize(
    ("kind", "fields", "of_line", "phase"),
    [
        pytest.param("step", {"action": "chock"}, Phase.FIRE, Phase.IMMOBILISE, id="a-deed-of-another-topic"),
        pytest.param("step", {"action": "cut"}, Phase.FIRE, Phase.FIRE, id="a-deed-that-says-little"),
        pytest.param("step", {"action": "press"}, Phase.DISABLE, Phase.DISABLE, id="a-deed-of-any-topic"),
        pytest.param("warning", {"hazard": "fall"}, Phase.TOWING, Phase.TOWING, id="a-hazard-that-says-little"),
        pytest.param("cue", {"text": "so"}, Phase.OTHER, Phase.OTHER, id="nothing-but-the-line"),
    ],
)
def test_an_item_has_the_topic_of_its_line_unless_its_own_words_say_more(
    understand: Callable[..., Talk], kind: str, fields: dict[str, str], of_line: Phase, phase: Phase
) -> None:
    talk = understand("Well now.")
    found = Found(kind, 0, 1, 0, fields, 0.5, ("said",))
    assert item_topic(talk, (of_line,), found) is phase
