"""What is left to another recording or subject."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.transcript import Transcript


@pytest.mark.parametrize(
    ("said", "is_borrowed"),
    [
        pytest.param("Exactly the same as on the last one.", True, id="same-as-the-last-one"),
        pytest.param("We've already covered that on the tram.", True, id="covered-elsewhere"),
        pytest.param("That's all in the earlier recording.", True, id="in-another-recording"),
        pytest.param("Go back to the other film for that.", True, id="watch-the-other-film"),
        pytest.param("It's on their tape.", True, id="on-a-tape"),
        pytest.param("Same as last time.", False, id="a-manner-of-speaking"),
        pytest.param("Same as the other side.", False, id="told-in-this-talk"),
        pytest.param("Same key.", False, id="the-same-thing-here"),
        pytest.param("Is it the one we filmed?", False, id="a-question"),
    ],
)
def test_what_another_recording_holds_is_a_question(
    reader: Reader,
    spoken: Callable[..., Transcript],
    said: str,
    is_borrowed: bool,  # noqa: FBT001  a table
) -> None:
    found = [q for q in reader.read(spoken(said)).open_questions if q.kind == "borrowed"]
    assert [q.evidence[0].quote for q in found] == ([said] if is_borrowed else [])
