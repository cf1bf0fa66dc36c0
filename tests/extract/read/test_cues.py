"""How something is recognised: which sentences are cues, and which only sound like one."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import CueItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def cues(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[CueItem]]:
    def found(*said: str) -> list[CueItem]:
        return [item for item in reader.read(spoken(*said)).items if isinstance(item, CueItem)]

    return found


@pytest.mark.parametrize(
    ("said", "why"),
    [
        pytest.param("If the lamp is lit it's live.", "ties a sign to a state", id="if-then"),
        pytest.param("You'll hear a clunk, that means it's off.", "says what it means", id="means"),
        pytest.param("It's got a yellow flag with a bolt on it.", "describes a mark", id="mark"),
        pytest.param("Turn it until it clicks.", "says what shows that it is done", id="until"),
        pytest.param("Thick white smoke first.", "says how a fire shows itself", id="fire"),
    ],
)
def test_a_cue_is_told(cues: Callable[..., list[CueItem]], said: str, why: str) -> None:
    (cue,) = cues(said)
    assert cue.quote == said
    assert why in cue.reasons


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Turn on the lights.", id="a-sign-in-an-order"),
        pytest.param("Don't look at the lamp, it burns you.", id="forbidden"),
        pytest.param("The cover is on the left.", id="a-place"),
        pytest.param("The alarm is loud.", id="a-sign-that-shows-nothing"),
        pytest.param("Is the lamp lit when it's live?", id="a-question"),
        pytest.param("There's a small window that goes dark on the front.", id="a-description-nobody-asked-for"),
    ],
)
def test_no_cue_is_made_of(cues: Callable[..., list[CueItem]], said: str) -> None:
    assert cues(said) == []


def test_a_description_is_a_cue_when_it_answers_how_to_know(cues: Callable[..., list[CueItem]]) -> None:
    (cue,) = cues(
        "Ada: How do I know it's off?", "Bo: There's a small window that goes dark on the front.", "Ada: And then?",
        "Bo: Fine.", "Ada: Is that all?", "Bo: Yes.",
    )  # fmt: skip
    assert "answers how to know it" in cue.reasons


def test_a_long_sentence_is_cut_to_what_shows_something(cues: Callable[..., list[CueItem]]) -> None:
    before = "We came up from the yard past the gate and the two sheds that my brother built, over the bridge"
    after = "and then he told me all about the boat that he had once kept behind his house by the river"
    (cue,) = cues(f"{before}, you'll hear a clunk, that means it's off, {after}.")
    assert cue.text == "you'll hear a clunk, that means it's off"
