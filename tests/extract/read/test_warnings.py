"""What becomes a warning, with which hazard, signal and prohibition; no prohibition goes missing."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import WarningItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def warnings(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., list[WarningItem]]:
    def found(*said: str) -> list[WarningItem]:
        return [item for item in reader.read(spoken(*said)).items if isinstance(item, WarningItem)]

    return found


@pytest.mark.parametrize(
    ("said", "prohibits"),
    [
        pytest.param("Don't touch the orange cable.", "touch the orange cable", id="do-not"),
        pytest.param("Never cut it.", "cut it", id="never"),
        pytest.param("You must never, ever, lift it.", "lift it", id="broken-off-and-stressed"),
        pytest.param("Don't, whatever you do, lift the lid.", "lift the lid", id="broken-off"),
        pytest.param(
            "You mustn't lean on the glass, and don't touch the rail.", "lean on the glass; touch the rail", id="two"
        ),
    ],
)
def test_what_must_not_be_done_stands_in_the_warning(
    warnings: Callable[..., list[WarningItem]], said: str, prohibits: str
) -> None:
    (warning,) = warnings(said)
    assert warning.prohibits == prohibits
    assert "said as what must not be done" in warning.reasons


@pytest.mark.parametrize(
    ("said", "hazard", "signal"),
    [
        pytest.param("There's four hundred volts sitting in that battery.", "electric shock", "danger", id="voltage"),
        pytest.param("Two hundred bar in that tank.", "pressure release", "danger", id="gas-that-kills"),
        pytest.param("That will crush your hand.", "crush", "warning", id="crush"),
        pytest.param("It burns you.", "burn", "warning", id="burn"),
        pytest.param("Don't touch the orange cable.", "electric shock", "danger", id="a-part-that-carries-a-hazard"),
        pytest.param("Never cut it.", "other", "warning", id="no-reason-told"),
        pytest.param("That switch does not shut off the gas.", "other", "warning", id="what-a-control-leaves-on"),
        pytest.param("The stop button won't kill the high voltage.", "electric shock", "danger", id="leaves-it-live"),
        pytest.param("It doesn't take the pressure off.", "pressure release", "warning", id="leaves-the-pressure"),
        pytest.param("Those buttons don't stop the belt.", "unexpected movement", "warning", id="leaves-it-running"),
    ],
)
def test_the_hazard_and_its_signal_are_told(
    warnings: Callable[..., list[WarningItem]], said: str, hazard: str, signal: str
) -> None:
    (warning,) = warnings(said)
    assert (warning.hazard, warning.signal) == (hazard, signal)


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("It can't hurt you.", id="harmless"),
        pytest.param(
            "If the button doesn't stop the belt, pull the cord.", id="a-control-that-fails-opens-another-way"
        ),
        pytest.param("It won't take long to shut off the gas.", id="a-control-that-does-it-soon"),
        pytest.param("It's four hundred volts.", id="a-voltage-merely-stated"),
        pytest.param("If that's green, it's live.", id="a-sign-of-a-state"),
        pytest.param("Twelve volts in that battery.", id="a-voltage-that-hurts-nobody"),
        pytest.param("Don't worry.", id="forbids-nothing"),
        pytest.param("Can you touch the cable?", id="a-question"),
        pytest.param("Press the grey button.", id="a-step"),
    ],
)
def test_no_warning_is_made_of(warnings: Callable[..., list[WarningItem]], said: str) -> None:
    assert warnings(said) == []


@pytest.mark.parametrize(
    ("said", "quote"),
    [
        pytest.param(
            "Stay out of the arches. The airbag gas is in there.",
            "Stay out of the arches. The airbag gas is in there.",
            id="reason-behind",
        ),
        pytest.param(
            "The door is red. It runs up in that post. So keep out of it.",
            "It runs up in that post. So keep out of it.",
            id="reason-before-so",
        ),
    ],
)
def test_a_prohibition_takes_its_reason_along(
    warnings: Callable[..., list[WarningItem]], said: str, quote: str
) -> None:
    (warning,) = warnings(said)
    assert warning.quote == quote


def test_two_kinds_of_harm_are_two_warnings(warnings: Callable[..., list[WarningItem]]) -> None:
    found = warnings("Never touch the orange cable. That will crush your hand.")
    assert [warning.hazard for warning in found] == ["electric shock", "crush"]


def test_a_voltage_is_written_in_figures_and_quoted_in_words(warnings: Callable[..., list[WarningItem]]) -> None:
    (warning,) = warnings("There's four hundred volts sitting in that battery.")
    assert warning.text == "there's 400 V sitting in that battery"
    assert "four hundred volts" in warning.quote


def test_the_same_words_that_forbid_another_deed_are_another_warning(
    warnings: Callable[..., list[WarningItem]],
) -> None:
    found = warnings("Don't lift the rear cover there.", "Yes.", "Don't tilt the rear cover there.")
    assert len(found) == 2
