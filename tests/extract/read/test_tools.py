"""Which tools and sizes a talk names, and to which step each of them goes."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.draft import Draft
from vouchbook.models.items import StepItem, ToolItem
from vouchbook.models.transcript import Transcript


@pytest.fixture
def draft(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., Draft]:
    return lambda *said: reader.read(spoken(*said))


def tools(draft: Draft) -> list[ToolItem]:
    return [item for item in draft.items if isinstance(item, ToolItem)]


def steps(draft: Draft) -> list[StepItem]:
    return [item for item in draft.items if isinstance(item, StepItem)]


@pytest.mark.parametrize(
    ("said", "name", "size", "implied"),
    [
        pytest.param("Grab a ten mil socket.", "socket", "10 mm", False, id="size-before-the-name"),
        pytest.param("Flat screwdriver, this one.", "flat screwdriver", None, False, id="named-without-a-size"),
        pytest.param("Triangle key. It's an eight mil.", "triangle key", "8 mm", False, id="size-in-the-next-sentence"),
        pytest.param("Half-inch drive ratchet.", "ratchet", "1/2 in", False, id="drive"),
        pytest.param("T thirty on those screws.", "hexalobular bit", "T30", True, id="the-size-names-the-bit"),
        pytest.param("Ten mil on the nut.", "socket", "10 mm", True, id="only-the-size"),
        pytest.param("Three screws, eight mil hex.", "hex key", "8 mm", True, id="a-hexagon-socket"),
        pytest.param("Six mil Allen on those screws.", "Allen", "6 mm", False, id="by-its-trade-name"),
        pytest.param("Those nuts, twenty-four mil across.", "socket", "24 mm", True, id="across-flats"),
        pytest.param("Ten mil hex bolt.", "socket", "10 mm", True, id="a-hexagon-head"),
        pytest.param("Ten mil, no, twelve mil spanner.", "spanner", "12 mm", False, id="corrected"),
        pytest.param(
            "The nut is a nineteen millimetre, use a nineteen millimetre spanner.",
            "spanner",
            "19 mm",
            False,
            id="one-size-said-twice",
        ),
        pytest.param("Ten or twelve mil socket.", "socket", None, False, id="left-open"),
    ],
)
def test_a_tool_is_named(draft: Callable[..., Draft], said: str, name: str, size: str | None, implied: bool) -> None:  # noqa: FBT001  a table
    (tool,) = tools(draft(said))
    assert (tool.name, tool.size, tool.implied) == (name, size, implied)


def test_a_number_that_names_the_machine_is_no_size(draft: Callable[..., Draft]) -> None:
    assert tools(draft("This is the two post car lift, is that right?", "Yes, that's the one.")) == []


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Don't use a ten mil socket on it.", id="forbidden"),
        pytest.param("Not a hammer.", id="denied"),
        pytest.param("You won't fit a ratchet in there.", id="does-not-fit"),
        pytest.param("A coin will do.", id="offered-in-passing"),
        pytest.param("The key is in the lock.", id="the-machines-own-key"),
        pytest.param("It's a hundred bar of pressure.", id="a-unit-that-sounds-like-a-tool"),
        pytest.param("Two metres back.", id="a-length-that-is-no-size"),
        pytest.param("Shift her an inch.", id="how-far-it-is-moved"),
        pytest.param("Slide the tray an inch forward.", id="how-far-and-where-to"),
        pytest.param("There's ten mil of play in the pedal.", id="how-much-it-gives"),
        pytest.param("Thirteen of them.", id="a-count"),
        pytest.param("What size is it, a thirteen?", id="offered-and-not-agreed-to"),
    ],
)
def test_no_tool_is_made_of(draft: Callable[..., Draft], said: str) -> None:
    assert tools(draft(said)) == []


def test_a_bare_number_is_a_size_when_one_was_asked_for(draft: Callable[..., Draft]) -> None:
    found = draft("Undo the nut.", "What size?", "That's a thirteen.")
    (tool,) = tools(found)
    assert (tool.name, tool.size, tool.fastener) == ("socket", "13 mm", "nut")
    assert "the unit was not said" in tool.reasons
    assert steps(found)[0].size == "13 mm"


def test_what_the_asker_offers_counts_once_it_is_agreed_to(draft: Callable[..., Draft]) -> None:
    talk = ["Ada: Is that a ten mil on the nut?", "Bo: Yeah.", "Ada: And then?", "Bo: Fine.", "Ada: Is it?", "Bo: Aye."]
    assert [tool.size for tool in tools(draft(*talk))] == ["10 mm"]
    talk[1] = "Bo: Hard to say."
    assert tools(draft(*talk)) == []


def test_a_size_goes_to_its_fastener_and_the_count_to_the_tool(draft: Callable[..., Draft]) -> None:
    found = draft("Undo the four bolts.", "Thirteen mil socket.")
    ((step,), (tool,)) = steps(found), tools(found)
    assert (step.size, step.tool, step.count) == ("13 mm", "socket", 4)
    assert (tool.size, tool.count, tool.fastener) == ("13 mm", 4, "bolt")
    assert [evidence.quote for evidence in step.evidence] == ["Undo the four bolts.", "Thirteen mil socket."]


def test_a_size_told_far_away_goes_to_no_step(draft: Callable[..., Draft]) -> None:
    far = draft("Undo the bolt.", "It is old.", "It was red.", "It is fine.", "It is so.", "Thirteen mil socket.")
    assert [step.size for step in steps(far)] == [None]


def test_a_drive_stays_on_the_tool(draft: Callable[..., Draft]) -> None:
    found = draft("Undo the bolts with a half-inch drive ratchet.")
    assert [step.size for step in steps(found)] == [None]
    assert [tool.size for tool in tools(found)] == ["1/2 in"]


def test_a_size_that_no_step_takes_implies_that_its_thing_is_undone(draft: Callable[..., Draft]) -> None:
    (step,) = steps(draft("The lower clamp, that takes a ten mil spanner."))
    assert (step.action, step.object, step.size) == ("undo", "lower clamp", "10 mm")
    assert step.reasons[0].startswith("implied:")


def test_a_disputed_size_is_left_off_step_and_tool(draft: Callable[..., Draft]) -> None:
    found = draft("Ada: Undo the bolts, ten mil.", "Bo: No, those are thirteen.", "Ada: Hm.", "Bo: Hm.")
    assert {item.size for item in (*steps(found), *tools(found))} == {None}
    assert [q.about for q in found.open_questions if q.kind == "conflict"] == ["size: 10 mm or 13 mm"]


def test_a_tool_goes_to_the_deed_that_it_is_told_with(draft: Callable[..., Draft]) -> None:
    made = steps(draft("Turn the red handle, and lock it with your padlock."))
    assert [(step.action, step.tool) for step in made] == [("turn", None), ("lock", "padlock")]
