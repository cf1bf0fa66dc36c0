"""Tools, warnings and signs out of marks."""

import re
from collections.abc import Callable

import pytest

from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.candidates import candidates
from vouchbook.extract.read.marked.told import marked_cues, marked_warnings
from vouchbook.extract.read.pipeline import by_rules
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks

Told = Callable[..., list[Candidate]]


@pytest.fixture
def tools(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> Told:
    """The tools that the tagger marks; sizes come from those that the rules found."""

    def found(*said: str, **marks: dict[str, str]) -> list[Candidate]:
        talk = understand(*said)
        every = candidates(talk, mark(talk, **marks), by_rules(talk))["tool"]
        return [each for each in every if each.source == "tagger"]

    return found


def texts(talk: Talk, found: list[Candidate]) -> list[str]:
    return [talk.doc[each.found.start : each.found.end].text for each in found]


@pytest.mark.parametrize(
    ("said", "tool", "expected"),
    [
        pytest.param(
            "Grab the long pry bar.", {"long pry bar": "B-name"}, ("long pry bar", None, False), id="by-its-name"
        ),
        pytest.param(
            "Grab a ten mil socket.", {"socket": "B-name"}, ("socket", "10 mm", False), id="name-behind-a-size"
        ),
        pytest.param("Ten mil on the nut.", {"Ten mil": "B-size"}, ("socket", "10 mm", True), id="by-its-size"),
        pytest.param("Take the hook.", {"the hook": "B-name"}, ("hook", None, False), id="without-its-determiner"),
    ],
)
def test_a_tool_is_marked_by_name_or_size(
    tools: Told, said: str, tool: dict[str, str], expected: tuple[str, str | None, bool]
) -> None:
    (found,) = tools(said, tool=tool)
    size = found.found.size.quantity.normal if found.found.size else None
    assert (found.found.fields["name"], size, found.found.fields["implied"]) == expected


def test_a_word_marked_as_a_size_that_is_none_gives_none(tools: Told) -> None:
    (found,) = tools("Grab the big one.", tool={"big one": "B-size"})
    assert found.found.size is None


def test_a_size_that_was_taken_back_is_not_the_tools(tools: Told) -> None:
    (found,) = tools("Ten mil, no, twelve mil spanner.", tool={"spanner": "B-name"})
    assert found.found.size is not None
    assert found.found.size.quantity.normal == "12 mm"


def test_two_tools_in_a_row_are_two(tools: Told) -> None:
    found = tools("A hammer, a chisel.", tool={"hammer": "B-name", "chisel": "B-name"})
    assert [each.found.fields["name"] for each in found] == ["hammer", "chisel"]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param(
            "Ten mil socket, thirteen mil spanner.",
            id="size-first",
        ),
        pytest.param("A socket, ten mil, a spanner, thirteen mil.", id="size-behind"),
    ],
)
def test_each_tool_has_its_own_size(tools: Told, said: str) -> None:
    found = tools(said, tool={"socket": "B-name", "spanner": "B-name"})
    sizes = [(each.found.fields["name"], each.found.size and each.found.size.quantity.normal) for each in found]
    assert sizes == [("socket", "10 mm"), ("spanner", "13 mm")]


def test_no_mark_makes_no_tool(tools: Told) -> None:
    assert tools("Grab a ten mil socket.") == []


@pytest.fixture
def warnings(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> Told:
    def found(*said: str, sure: float = 0.9, **marks: dict[str, str]) -> list[Candidate]:
        talk = understand(*said)
        return list(marked_warnings(talk, mark(talk, sure=sure, **marks)))

    return found


FIRST, SECOND = "That cable is live all day.", "It kills you in the rain."
WARNINGS = [
    pytest.param({FIRST: "B-", SECOND: "I-"}, [f"{FIRST} {SECOND[:-1]}"], id="one-over-two-sentences"),
    pytest.param({FIRST: "B-", SECOND: "B-"}, [FIRST[:-1], SECOND[:-1]], id="split-where-a-new-one-opens"),
    pytest.param({SECOND: "B-"}, [SECOND[:-1]], id="only-the-second"),
    pytest.param({"live": "B-"}, [], id="one-word-of-a-clause-is-not-enough"),
    pytest.param({}, [], id="none"),
]


@pytest.mark.parametrize(("warning", "expected"), WARNINGS)
def test_warnings_are_runs_of_clauses(
    warnings: Told, understand: Callable[..., Talk], warning: dict[str, str], expected: list[str]
) -> None:
    said = f"{FIRST} {SECOND}"
    assert texts(understand(said), warnings(said, warning=warning)) == expected


@pytest.mark.parametrize(("cue", "expected"), WARNINGS)
def test_cues_are_runs_of_clauses(
    understand: Callable[..., Talk], mark: Callable[..., Marks], cue: dict[str, str], expected: list[str]
) -> None:
    talk = understand(f"{FIRST} {SECOND}")
    assert texts(talk, list(marked_cues(talk, mark(talk, cue=cue)))) == expected


def test_a_run_ends_with_its_line(warnings: Told, understand: Callable[..., Talk]) -> None:
    said = (FIRST, SECOND)
    assert texts(understand(*said), warnings(*said, warning={FIRST: "B-", SECOND: "I-"})) == [FIRST[:-1], SECOND[:-1]]


def test_a_run_ends_where_a_clause_between_is_not_marked(warnings: Told) -> None:
    said = f"{FIRST} We had our lunch there. {SECOND}"
    assert len(warnings(said, warning={FIRST: "B-", SECOND: "I-"})) == 2


@pytest.mark.parametrize("said", ["Hot.", "Very hot."])
def test_a_warning_of_a_word_or_two_is_none(warnings: Told, said: str) -> None:
    assert warnings(said, warning={said: "B-"}) == []


def test_a_warning_has_the_hazard_and_the_signal_that_are_marked(warnings: Told) -> None:
    (found,) = warnings(FIRST, warning={FIRST: "B-"}, hazard={FIRST: "burn"}, signal={FIRST: "caution"})
    assert found.found.fields == {
        "text": "that cable is live all day", "hazard": "burn", "signal": "caution", "prohibits": None,
        "signal_reason": found.found.fields["signal_reason"],
    }  # fmt: skip
    assert found.sure == pytest.approx(0.9)
    reason = (
        r"no single word tells the harm; judged by the talk around it \(0\.\d\d sure\), "
        r"it could do minor or moderate injury if it is not avoided"
    )
    assert re.fullmatch(reason, found.found.fields["signal_reason"])


@pytest.mark.parametrize(
    ("said", "prohibits"),
    [
        pytest.param("Never touch the rail.", "touch the rail", id="one"),
        pytest.param("Never touch the rail. Nobody walks under it.", "touch the rail; walk under it", id="two"),
        pytest.param("That rail is live all day.", None, id="none"),
    ],
)
def test_a_warning_says_what_it_prohibits(warnings: Told, said: str, prohibits: str | None) -> None:
    (found,) = warnings(said, warning={said: "B-"})
    assert found.found.fields["prohibits"] == prohibits


def test_the_text_of_a_sign_leaves_out_what_leads_to_it(
    understand: Callable[..., Talk], mark: Callable[..., Marks]
) -> None:
    said = "And so the lamp goes green."
    talk = understand(said)
    (found,) = marked_cues(talk, mark(talk, cue={said: "B-"}))
    assert found.found.fields["text"] == "the lamp goes green"


def test_a_condition_alone_is_no_warning(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> None:
    talk = understand("Unless there's a fire, isolate it.")
    assert list(marked_warnings(talk, mark(talk, warning={"Unless there's a fire,": "B-"}))) == []
    (whole,) = marked_warnings(talk, mark(talk, warning={"Unless there's a fire, isolate it.": "B-"}))
    assert whole.found.fields["text"] == "unless there's a fire, isolate it"
