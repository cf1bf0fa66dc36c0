from collections.abc import Callable, Sequence
from typing import Any

import pytest

from vouchbook.library.known.compare import compare
from vouchbook.library.known.relation import relation
from vouchbook.library.known.sides import Side
from vouchbook.models.editions import Edition
from vouchbook.models.subjects import Subject

Line = tuple[str, dict[str, Any]]
COVER: Line = ("step", {"action": "undo", "object": "cover bolts", "size": "10 mm", "count": 4})
PLUG: Line = ("step", {"action": "pull", "object": "service plug"})
CUT: Line = ("step", {"action": "cut", "object": "orange cable"})
NEVER_CUT: Line = ("warning", {"text": "never cut the orange cable", "prohibits": "cut the orange cable"})
SOCKET: Line = ("tool", {"name": "socket", "fastener": "cover bolt", "size": "10 mm"})
SWITCH: Line = ("location", {"part": "main switch", "place": "left of the door"})


def _but(line: Line, **fields: object) -> Line:
    return line[0], line[1] | fields


def _wait(how_long: str, condition: str = "before you touch the controller", **fields: object) -> Line:
    return "step", {"action": "wait", "object": how_long, "condition": condition, "phase": "stored_energy", **fields}


def _live(amount: str) -> Line:
    return "warning", {"text": f"the cable under the floor is live, {amount}"}


@pytest.mark.parametrize(
    ("here", "there", "found"),
    [
        pytest.param([COVER, SWITCH], [COVER, SWITCH], [], id="the-same"),
        pytest.param([_but(COVER, size="13 mm")], [COVER], ["another size"], id="size"),
        pytest.param([_but(COVER, size="13 mm", phase="fire")], [COVER], [], id="size-in-another-topic"),
        pytest.param([_but(COVER, size=None)], [COVER], [], id="size-not-said"),
        pytest.param([_but(COVER, count=3)], [COVER], ["another count"], id="count"),
        pytest.param([_but(SOCKET, size="3/8 in")], [SOCKET], ["another size"], id="tool"),
        pytest.param([_but(SOCKET, size="13 mm")], [SOCKET, _but(SOCKET, size="13 mm")], [], id="one-of-two-sizes"),
        pytest.param([_but(SOCKET, fastener="terminal nut", size="8 mm")], [SOCKET], ["not mentioned"], id="other-job"),
        pytest.param([_but(SWITCH, place="right of the door")], [SWITCH], ["another place"], id="side"),
        pytest.param([_but(SWITCH, place="under the bonnet")], [SWITCH], ["another place"], id="place"),
        pytest.param([_but(SWITCH, place="by the door")], [SWITCH], [], id="place-in-other-words"),
        pytest.param(
            [_but(SWITCH, place="under the seat")],
            [SWITCH, _but(SWITCH, place="below the seat")],
            [],
            id="one-of-two-places",
        ),
        pytest.param(
            [_but(SWITCH, place="in front of the battery")],
            [_but(SWITCH, place="behind the battery")],
            ["another place"],
            id="before-and-behind",
        ),
        pytest.param(
            [_but(PLUG, place="under the dash")],
            [_but(PLUG, place="under the seat")],
            ["another place"],
            id="place-of-a-deed",
        ),
        pytest.param(
            [_but(PLUG, place="under the driver's seat")],
            [_but(PLUG, place="under the seat")],
            [],
            id="place-of-a-deed-in-other-words",
        ),
        pytest.param([_but(PLUG, place="to the left")], [_but(PLUG, place="out of the box")], [], id="where-it-goes"),
        pytest.param([_but(PLUG, place="under the dash")], [PLUG], [], id="place-not-said"),
        pytest.param([_wait("ten minutes")], [_wait("seven minutes")], ["another amount"], id="time"),
        pytest.param([_wait("ten minutes")], [_wait("10 min")], [], id="one-time-in-other-words"),
        pytest.param([_wait("ten minutes")], [_wait("seven minutes"), _wait("ten minutes")], [], id="one-of-two-times"),
        pytest.param(
            [_wait("ten minutes")],
            [_wait("seven minutes", "if it burned")],
            [],
            id="time-of-another-case",
        ),
        pytest.param([_wait("ten minutes", phase="fire")], [_wait("two hours")], ["not mentioned"], id="other-topic"),
        pytest.param([_live("400 volts")], [_live("48 volts")], ["another amount"], id="voltage"),
        pytest.param([_live("400 volts")], [_live("400 V")], [], id="the-same-voltage"),
        pytest.param([_live("ten minutes")], [_live("400 volts")], ["not mentioned"], id="amounts-of-two-kinds"),
        pytest.param(
            [("warning", {"text": "wait ten minutes before you touch it. The capacitors are still charged"})],
            [("warning", {"text": "the capacitors are still charged and they will kill you"})],
            [],
            id="said-among-other-things",
        ),
        pytest.param(
            [("warning", {"text": "the capacitors are still charged"})],
            [("warning", {"text": "the capacitors are still charged. Never lift the seat before it is chocked"})],
            ["not mentioned"],
            id="half-of-a-warning",
        ),
        pytest.param([PLUG, COVER], [COVER, PLUG], ["another order"], id="order"),
        pytest.param([SWITCH, SOCKET], [SOCKET, SWITCH], [], id="places-have-no-order"),
        pytest.param([CUT], [NEVER_CUT], ["done here, forbidden there", "not mentioned"], id="forbidden-there"),
        pytest.param([NEVER_CUT], [CUT], ["forbidden here, done there", "not mentioned"], id="forbidden-here"),
        pytest.param([_but(CUT, condition="once the plug is out")], [NEVER_CUT], ["not mentioned"], id="on-condition"),
        pytest.param(
            [CUT],
            [_but(NEVER_CUT, text="never cut the orange cable before the plug is out")],
            ["not mentioned"],
            id="forbidden-on-condition",
        ),
        pytest.param([PLUG], [PLUG, NEVER_CUT], ["not mentioned"], id="not-mentioned"),
        pytest.param([PLUG, NEVER_CUT], [PLUG], [], id="new-here"),
    ],
)
def test_a_talk_against_an_edition_of_the_same_machine(
    hauler: Subject,
    said: Callable[[Sequence[Line]], list[Side]],
    edition: Callable[..., Edition],
    here: list[Line],
    there: list[Line],
    found: list[str],
) -> None:
    findings = compare(said(here), hauler, [edition(hauler, there)])
    assert [finding.what for finding in findings] == found
    assert all("edition 1 of Norvik Hauler" in finding.sentence for finding in findings)
    assert all(side.quotes and side.edition == 1 for finding in findings for side in finding.there)


@pytest.mark.parametrize(
    ("fields", "near", "found"),
    [
        pytest.param({"years_from": 2030, "years_to": None}, "same machine", 3, id="years-meet"),
        pytest.param({"maker": " NORVIK "}, "same machine", 3, id="written-otherwise"),
        pytest.param({"years_from": 2020, "years_to": 2027}, "other years", 2, id="years-before"),
        pytest.param({"model": "Porter"}, "same kind and energy", 1, id="another-model"),
        pytest.param({"model": "Porter", "energy": "diesel"}, None, 0, id="another-energy"),
        pytest.param({"model": "Porter", "energy": None}, None, 0, id="energy-not-known"),
        pytest.param({"kind": "lift"}, None, 0, id="another-kind"),
    ],
)
def test_the_farther_the_subject_the_less_is_compared(
    hauler: Subject,
    said: Callable[[Sequence[Line]], list[Side]],
    edition: Callable[..., Edition],
    fields: dict[str, Any],
    near: str | None,
    found: int,
) -> None:
    other = hauler.model_copy(update=fields)
    assert relation(hauler, other) == relation(other, hauler) == near
    findings = compare(said([CUT, _but(COVER, size="13 mm")]), hauler, [edition(other, [NEVER_CUT, COVER])])
    assert len(findings) == found
    assert {finding.relation for finding in findings} <= {near}
