"""What a speaker was not sure of is asked about, and never shown as sure."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.items import WarningItem
from vouchbook.models.transcript import Transcript

Spoken = Callable[..., Transcript]


@pytest.mark.parametrize(
    ("said", "doubted"),
    [
        pytest.param(
            ["The lever is down there. I think it's the left one, I'd have to check."],
            "I think it's the left one, I'd have to check.", id="have-to-check",
        ),
        pytest.param(["It's the left one, I'd have to ask the fitter."], None, id="have-to-ask"),
        pytest.param(["Undo the bolts, not sure if it's ten or twelve."], "not sure if it's ten or twelve.", id="if"),
        pytest.param(["Undo the bolts with a ten, not sure."], None, id="not-sure"),
        pytest.param(["Not sure what it weighs."], None, id="not-sure-what"),
        pytest.param(["The relief valve sits behind the seat, but I'm not certain."], None, id="not-certain"),
        pytest.param(["Wait ten minutes. Don't quote me on that."], None, id="the-sentence-before"),
        pytest.param(
            ["Ada: What's the torque on it?", "Bo: I'd have to look it up."],
            "What's the torque on it? I'd have to look it up.", id="an-answer",
        ),
        pytest.param(["I can't remember which side the tap is on."], None, id="forgotten"),
        pytest.param(["If I remember right, the fuse is behind the glovebox."], None, id="from-memory"),
        pytest.param(["Undo the bolts, I think they're thirteens."], "I think they're thirteens.", id="size"),
        pytest.param(["I think it's six bolts, then lift the cover off."], "I think it's six bolts,", id="count"),
    ],
)  # fmt: skip
def test_what_is_said_with_doubt_is_a_question_about_those_words(
    reader: Reader, spoken: Spoken, said: list[str], doubted: str | None
) -> None:
    (question,) = [q for q in reader.read(spoken(*said)).open_questions if q.kind == "doubtful"]
    assert [e.quote for e in question.evidence] == [doubted or " ".join(said)]
    assert question.ask.startswith("The speaker was not sure: ")


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("If you're not sure, leave it.", id="a-condition"),
        pytest.param("If I'm not sure I stop and ring.", id="ones-own-condition"),
        pytest.param("Make sure it's off.", id="make-sure"),
        pytest.param("You have to check it's dead.", id="a-step"),
        pytest.param("We'd have to check the oil first.", id="a-deed"),
        pytest.param("I'm not sure you want to do that.", id="advice"),
        pytest.param("I think we should wear gloves.", id="an-opinion"),
        pytest.param("I think so too.", id="assent"),
        pytest.param("I couldn't tell you.", id="nothing-is-said"),
        pytest.param("I think it's a ten, no, twelve mil.", id="settled-in-one-breath"),
        pytest.param("Are you not sure if it's ten or twelve?", id="asked"),
    ],
)
def test_these_leave_nothing_in_doubt(reader: Reader, spoken: Spoken, said: str) -> None:
    assert [q for q in reader.read(spoken(said)).open_questions if q.kind == "doubtful"] == []


def test_a_size_left_open_is_asked_once(reader: Reader, spoken: Spoken) -> None:
    draft = reader.read(spoken("Undo the plate with a ten or twelve mil socket, I'd have to check."))
    assert [q.about for q in draft.open_questions if q.kind == "doubtful"] == ["size left open: ten or twelve mil"]


@pytest.mark.parametrize(
    ("said", "doubt"),
    [
        ("Undo the bolts with a ten, not sure.", "not sure"),
        ("Wait ten minutes. Don't quote me on that.", "don't quote me"),
        ("The relief valve sits behind the seat, but I'm not certain.", "I'm not certain"),
        ("I think it's six bolts.", "I think"),
    ],
)
def test_no_item_of_doubted_words_is_shown_as_sure(reader: Reader, spoken: Spoken, said: str, doubt: str) -> None:
    items = reader.read(spoken(said)).items
    assert items
    for item in items:
        assert item.confidence < 0.6
        assert f"the speaker was not sure: \u201c{doubt}\u201d" in item.reasons


def test_what_stands_beside_the_doubt_is_as_sure_as_ever(reader: Reader, spoken: Spoken) -> None:
    cover = reader.read(spoken("I think it's six bolts, then lift the cover off.")).items[-1]
    assert cover.quote == "then lift the cover off."
    assert cover.confidence >= 0.6


def test_dont_quote_me_is_no_warning(reader: Reader, spoken: Spoken) -> None:
    items = reader.read(spoken("Wait ten minutes. Don't quote me on that.")).items
    assert not [item for item in items if isinstance(item, WarningItem)]


def test_a_doubted_warning_stays(reader: Reader, spoken: Spoken) -> None:
    (warning,) = reader.read(spoken("Never cut the orange cable, I'd have to check why.")).items
    assert isinstance(warning, WarningItem)
