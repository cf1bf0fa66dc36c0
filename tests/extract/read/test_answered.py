"""Deeds that one asks about and the other forbids or confirms: across two turns, a warning or a step."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.draft import Draft
from vouchbook.models.items import StepItem, WarningItem
from vouchbook.models.transcript import Transcript

_GOES_ON = ("Ines: And then?", "Rolf: Turn the key.")


@pytest.fixture
def drafted(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., Draft]:
    return lambda asked, answer: reader.read(spoken(f"Ines: {asked}", f"Rolf: {answer}", *_GOES_ON))


@pytest.mark.parametrize(
    ("asked", "answer", "prohibits"),
    [
        pytest.param("So I just open the hatch?", "God no, leave that shut.", "open the hatch", id="god-no"),
        pytest.param("So I just open the hatch?", "No. Never.", "open the hatch", id="no-never"),
        pytest.param("Do I pull the grey lever?", "Not that one.", "pull the grey lever", id="not-that-one"),
        pytest.param("Can I lift the drum by hand?", "No.", "lift the drum by hand", id="a-bare-no-to-may-I"),
        pytest.param("Could we tow it then?", "Please don't.", "tow it", id="please-don't"),
        pytest.param(
            "Can I open the kiln?", "Not while the fan runs.", "open the kiln while the fan runs", id="not-while"
        ),
        pytest.param(
            "So I shouldn't turn it?",
            "Not until the arm is free.",
            "turn it until the arm is free",
            id="shouldn't-not-until",
        ),
        pytest.param("So we don't lift the drum?", "No.", "lift the drum", id="don't-no"),
        pytest.param("So I shouldn't open the hatch?", "Exactly.", "open the hatch", id="shouldn't-exactly"),
    ],
)
def test_what_the_answer_forbids_is_a_prohibition_with_both_lines(
    drafted: Callable[..., Draft], asked: str, answer: str, prohibits: str
) -> None:
    draft = drafted(asked, answer)
    (warning,) = [item for item in draft.items if isinstance(item, WarningItem)]
    assert warning.prohibits == prohibits
    assert [e.quote for e in warning.evidence] == [answer, asked]
    assert [(s.action, s.object) for s in draft.items if isinstance(s, StepItem)] == [("turn", "key")]


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        pytest.param("Do I pull the grey lever?", "It's by the door.", id="no-answer"),
        pytest.param("Do I pull the grey lever?", "No.", id="perhaps-no-need"),
        pytest.param("Can I smell it?", "No.", id="no-deed"),
        pytest.param("Where do I lift it?", "No idea.", id="not-a-yes-or-no"),
        pytest.param("Is it off?", "No.", id="asks-of-a-state"),
    ],
)
def test_what_nobody_forbids_or_confirms_gives_nothing(drafted: Callable[..., Draft], asked: str, answer: str) -> None:
    draft = drafted(asked, answer)
    assert [i.kind for i in draft.items if i.kind in {"step", "warning"}] == ["step"]
    assert [(s.action, s.object) for s in draft.items if isinstance(s, StepItem)] == [("turn", "key")]


@pytest.mark.parametrize("answer", ["Exactly.", "That's it.", "Yes.", "Yes, and then the red one."])
def test_what_the_answer_confirms_is_a_step_with_both_lines(drafted: Callable[..., Draft], answer: str) -> None:
    draft = drafted("So I pull the grey lever first?", answer)
    step = next(item for item in draft.items if isinstance(item, StepItem))
    assert (step.action, step.object) == ("pull", "grey lever")
    assert len(step.evidence) == 2
    assert step.evidence[1].quote in answer


def test_the_same_voice_answers_nobody(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    draft = reader.read(spoken("Rolf: Can I lift the drum?", "Rolf: No.", "Ines: Right.", "Rolf: Turn the key."))
    assert not [item for item in draft.items if isinstance(item, WarningItem)]
