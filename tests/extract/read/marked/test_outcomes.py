"""Deeds told for what comes of them are no steps, where both are marked as one warning."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.marked.outcomes import tells_what_comes
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks


@pytest.mark.parametrize(
    ("said", "marked", "expected"),
    [
        pytest.param("Cut the canvas and it shoots up.", "Cut the canvas and it shoots up.", True, id="as-one-warning"),
        pytest.param("Cut the canvas and it shoots up.", None, False, id="marked-as-no-warning"),
        pytest.param("Cut the canvas and it shoots up.", "it shoots up.", False, id="only-the-outcome-warns"),
        pytest.param(
            "First cut the canvas and it shoots up.", "First cut the canvas and it shoots up.", False, id="meant"
        ),
        pytest.param(
            "Cut the canvas and you can reach it.", "Cut the canvas and you can reach it.", False, id="goes-on"
        ),
        pytest.param("Cut the canvas or it shoots up.", "Cut the canvas or it shoots up.", False, id="or-it-happens"),
        pytest.param(
            "Cut the canvas, and it shoots up.", "Cut the canvas, and it shoots up.", False, id="after-a-pause"
        ),
        pytest.param("Cut the canvas and pull the pin.", "Cut the canvas and pull the pin.", False, id="two-deeds"),
    ],
)
def test_what_comes_of_a_deed(
    understand: Callable[..., Talk], mark: Callable[..., Marks], said: str, marked: str | None, *, expected: bool
) -> None:
    talk = understand(said)
    verb = next(token.i for token in talk.doc if token.lower_ == "cut")
    marks = mark(talk, warning={marked: "B-"}) if marked else mark(talk)
    assert tells_what_comes(talk, marks, verb) is expected
