"""A step in the words of the trade: nothing told twice, and a distance with its place."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_wording import plainly_told
from vouchbook.extract.read.talk import Talk


@pytest.mark.parametrize(
    ("said", "told", "expected"),
    [
        pytest.param(
            "Turn it clockwise, clockwise.", ("turn", "clockwise", None), ("turn clockwise", "", None), id="way"
        ),
        pytest.param(
            "Turn it clockwise, clockwise.",
            ("turn clockwise", "it", "clockwise"),
            ("turn clockwise", "it", None),
            id="the-way-once",
        ),
        pytest.param(
            "Keep the fob at least five metres away from the van.",
            ("keep", "fob", "from the van"),
            ("keep", "fob", "at least five metres away from the van"),
            id="distance-and-what-from",
        ),
        pytest.param(
            "Get back, ten metres.", ("get back", "", None), ("get back", "", "ten metres"), id="behind-a-comma"
        ),
        pytest.param(
            "Pull it out eight, no, sorry, five centimetres.",
            ("pull", "it", "out eight"),
            ("pull", "it", "out five centimetres"),
            id="corrected",
        ),
        pytest.param(
            "Slide the tray ten mil back.",
            ("slide", "tray ten mil", None),
            ("slide", "tray", "ten mil back"),
            id="no-part-of-the-thing",
        ),
        pytest.param("Put a ten mil socket on.", ("put on", "socket", None), ("put on", "socket", None), id="a-size"),
        pytest.param("Cut the pipe, two metres.", ("cut", "pipe", None), ("cut", "pipe", None), id="no-move"),
    ],
)
def test_a_step_is_plainly_told(
    understand: Callable[..., Talk],
    said: str,
    told: tuple[str, str, str | None],
    expected: tuple[str, str, str | None],
) -> None:
    talk = understand(said)
    clause = talk.sentences[0].clauses[0]
    fields = dict(zip(("action", "object", "place"), told, strict=True))
    step = plainly_told(talk, Found("step", clause.start, clause.end, 0, fields, 0.9, ()))
    assert (step.fields["action"], step.fields["object"], step.fields["place"]) == expected
