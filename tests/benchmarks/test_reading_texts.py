"""Written texts as transcripts, sentences of talk, sizes and names of tools."""

import pytest
from reading.findings import Finding
from reading.removal import removals, verb_spans
from reading.sizes import normal
from reading.stretches import stretches
from reading.tool_forms import ToolForm, attributes, out_of_box, tool_form
from reading.written import written


def tool(name: str, size: str | None = None, *, is_implied: bool = False) -> Finding:
    return Finding("tool", (0, 0), {"name": name}, size=size, is_implied=is_implied)


def test_closing_punctuation_stands_with_its_word_and_tokens_are_found_again() -> None:
    text = written(["Lift", "the", "lid", ",", "(", "gently", ")", "."])
    assert [word.text for word in text.transcript.words] == ["Lift", "the", "lid,", "(", "gently", ")."]
    assert text.tokens((2, 2)) == (2, 2)
    assert text.tokens((4, 5)) == (5, 6)


def test_an_empty_text_is_an_empty_transcript() -> None:
    assert written([]).transcript.words == ()
    assert written([" ", "\t"]).transcript.lines == ()


def test_sentences_end_at_stops() -> None:
    assert list(stretches(written("Lift it. Then turn it".split()).transcript)) == [(0, 1), (2, 4)]


@pytest.mark.parametrize(
    ("said", "size"),
    [
        ("ten mil", "10 mm"), ("10 mm", "10 mm"), ("half-inch", "1/2 in"), ("3/8 inch", "3/8 in"), ("t30", "T30"),
        ("t 30", "T30"), ("ph2", "PH2"), ("#2", "PH2"), ("p5", "P5"),
    ],
    ids=str,
)  # fmt: skip
def test_a_size_has_one_form(said: str, size: str) -> None:
    assert normal(said) == size


@pytest.mark.parametrize(
    ("name", "size", "form"),
    [
        ("cross-recess screwdriver", "PH2", ("screwdriver", "phillips", "#2")),
        ("ph00 phillips screwdriver", None, ("screwdriver", "phillips", "#00")),
        ("hexalobular bit", "T30", ("bit", "torx", "T30")),
        ("socket", "10 mm", ("socket", "", "10 mm")),
        ("2.5mm flathead screwdriver", None, ("screwdriver", "flat", "2.5 mm")),
        ("set of opening picks", None, ("pick", "", "")),
    ],
    ids=["size told apart", "size in the name", "bit", "millimetres", "drive and length", "set"],
)
def test_a_tool_has_one_form(name: str, size: str | None, form: tuple[str, str, str]) -> None:
    assert tool_form(name, size) == ToolForm(*form)


BOX = ["flathead screwdriver", "phillips 2 screwdriver", "t6 torx screwdriver", "t8 torx screwdriver", "pry bar"]


@pytest.mark.parametrize(
    ("found", "taken"),
    [
        (tool("hexalobular bit", "T8"), {"t8 torx screwdriver"}),
        (tool("hexalobular bit", "T9"), set()),
        (tool("cross-recess screwdriver"), {"phillips 2 screwdriver"}),
        (tool("cross-recess screwdriver", "PH0"), set()),
        (tool("pry bar"), {"pry bar"}),
        (tool("hammer"), set()),
    ],
    ids=["size decides", "another size", "drive decides", "another cross size", "name", "not in the box"],
)
def test_a_tool_is_taken_out_of_its_box(found: Finding, taken: set[str]) -> None:
    assert out_of_box(BOX, [found]) == taken


def test_a_kind_that_nobody_named_is_no_stated_kind() -> None:
    assert [form.kind for form in attributes([tool("socket"), tool("socket", is_implied=True)])] == ["socket", ""]


@pytest.mark.parametrize(
    ("action", "takes_off"),
    [("remove", True), ("lift out", True), ("pry up", True), ("lift", False), ("push in", False), ("turn off", False)],
    ids=str,
)
def test_some_deeds_take_a_part_off(action: str, *, takes_off: bool) -> None:
    step = Finding("step", (0, 3), {"action": action, "object": "lid"}, verb=0, particle=3)
    assert list(removals([step, tool("hammer")])) == ([step] if takes_off else [])
    assert verb_spans([step]) == [(0, 0), (3, 3)]
