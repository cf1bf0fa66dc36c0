"""The review at the terminal: items by hand, loans, answers from stills, what is known; typed through a pipe."""

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from vouchbook.library.open import open_library
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.settle import draft_questions
from vouchbook.library.visits.drafts import set_aside
from vouchbook.models.draft import Draft, Picture
from vouchbook.models.people import Actor

Run = Callable[..., tuple[int, str, str]]
Items = Callable[..., Draft]
Reviews = Callable[..., str]
CUE: dict[str, Any] = {"id": "i1", "kind": "cue", "phase": "identify", "text": "a yellow badge", "line": 0}
STEP: dict[str, Any] = {
    "id": "i3", "kind": "step", "phase": "disable", "action": "pull out", "object": "plug", "line": 6,
}  # fmt: skip
DANGER: dict[str, Any] = {
    "id": "i2", "kind": "warning", "phase": "disable", "text": "never cut the orange cable", "hazard": "electric shock",
    "signal": "danger", "signal_reason": "it kills", "guards": ["i3"], "line": 5,
}  # fmt: skip
POINTER: dict[str, Any] = {"kind": "pointer", "line": 6, "about": "here", "ask": "Which plug is it?"}
SAME: dict[str, Any] = {"kind": "borrowed", "line": 6, "about": "the plug, as last time", "ask": "What was said there?"}


@pytest.fixture
def on_table(brings: Callable[..., None], draft_with: Items) -> None:
    brings(draft_with([CUE, DANGER, STEP], [POINTER]))


def table(tmp_path: Path, draft: int = 1) -> list[str]:
    with open_library(tmp_path / "library") as library, library.reading() as session:
        return [f"{one.case.key} {one.case.origin} {one.state.name}" for one in draft_items(session, draft)]


READ = ["i1 recording open", "i2 recording open", "i3 recording open"]


@pytest.mark.usefixtures("on_table")
def test_an_item_is_added_by_hand_on_words_that_are_marked(reviews: Reviews, tmp_path: Path) -> None:
    """A size and a count that are said there, however they are typed."""
    out = reviews("runa", "h|tool|0:30-0:39|y|disable|socket|bolts|ten millimetre|2||y|q", 1)
    assert "    “Take the two ten-millimetre bolts out of the cover.”" in out
    assert "i4: added; two people decide on it" in out
    assert table(tmp_path) == [*READ, "i4 by hand open"]
    out = reviews("sven", "n|n|n|c|n", 1)
    assert "i4  tool: Socket 10 mm, for 2 × bolts" in out
    assert "waits for a second person" in out
    assert "it was added by hand" in reviews("runa", "n|n|n|c|n", 1)
    assert table(tmp_path)[3] == "i4 by hand confirmed"


@pytest.mark.usefixtures("on_table")
def test_an_item_is_added_from_a_source_before_what_it_guards_and_taken_out_again(
    reviews: Reviews, tmp_path: Path
) -> None:
    """By an option as well, which a script can use; undone also after its decision was."""
    keys = "4||guide, page 12|3|the seat is heavy|crush|caution|the seat|i3||y"
    out = reviews("runa", f"{keys}|n|n|c|u|u|q", 1, "--add")
    assert "    Not from the recording: guide, page 12" in out
    assert [line for line in out.splitlines() if line.startswith("i4: ")] == [
        "i4: added; two people decide on it", "i4: waits for a second person", "i4: taken back", "i4: taken back",
    ]  # fmt: skip
    assert table(tmp_path) == READ
    reviews("runa", f"{keys}|q", 1, "--add")
    assert table(tmp_path) == [*READ[:2], "i4 other source open", READ[2]]


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        pytest.param("h|saw|||q", "Type one of these words, or a number from 1 to 5", id="no-such-kind"),
        pytest.param("h|2|soon||q", "Type two times, the earlier first", id="no-time"),
        pytest.param("h|2|0:31-0:30||q", "Type two times, the earlier first", id="backwards"),
        pytest.param("h|2|9:00-9:10||q", "No word begins between", id="no-words-there"),
        pytest.param("h|2|0:30-0:39|n||q", "Nothing was added", id="not-these-words"),
        pytest.param("h|2||q", "Nothing was added", id="no-source"),
        pytest.param("h|2|0:30-0:39|y|3|torch", "Add it [yn]", id="the-pipe-ends"),
        pytest.param("h|2|0:30-0:39|y|3|torch|||||n|q", "tool: Torch", id="not-after-all"),
        pytest.param("h|2|0:30-0:39|y|3|socket||13 mm|||y|q", "nobody says 13 mm in the marked", id="unsaid-size"),
        pytest.param("h|2|0:30-0:39|y|3|socket|||many||q", "'many' is no count", id="no-count"),
        pytest.param("h|1||guide|3|never lift|seat|||||||q", "what must not be done is a warning", id="a-prohibition"),
        pytest.param("h|2||guide|3|socket||||i9|y|q", "none of that key", id="behind-nothing"),
        pytest.param("h|4||guide|3|it is hot|burn|caution||i9||y|q", "no step of that key", id="before-nothing"),
    ],
)
@pytest.mark.usefixtures("on_table")
def test_what_cannot_be_added_is_told_and_nothing_is_added(
    reviews: Reviews, tmp_path: Path, keys: str, said: str
) -> None:
    assert said in reviews("runa", keys, 1)
    assert table(tmp_path) == READ


@pytest.fixture
def next_talk(brings: Callable[..., None], draft_with: Items, reviews: Reviews, run: Run, tokens: dict[str, str],
              *, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """Edition 1, and the draft 2 of a talk that leaves the plug to it, and says nothing of the cable."""
    brings(draft_with([CUE, DANGER, STEP]))
    reviews("runa", "c|c|c", 1)
    reviews("sven", "c", 1)
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["alva"])
    assert run("publish", 1)[0] == 0
    forbidden = {"kind": "warning", "phase": "disable", "text": "never pull out the plug", "hazard": "burn",
                 "signal": "caution", "signal_reason": "hot", "prohibits": "pull out the plug", "line": 6}  # fmt: skip
    brings(draft_with([CUE, forbidden], [SAME]))


@pytest.mark.usefixtures("next_talk")
def test_what_is_known_is_told_at_the_beginning_at_the_items_and_in_a_list(reviews: Reviews) -> None:
    out = reviews("runa", "n|k||q", 2)
    assert out.splitlines()[0].startswith("This visit has no recording to hear")
    assert out.splitlines()[1].startswith(
        "Against what is known: 1 said otherwise, 2 known before and not mentioned. Press k to see."
    )
    assert "    Known otherwise, forbidden here, done there: “never pull out the plug” is said here" in out
    listed = out[out.index("[craunphkq?] k") :]
    assert "      forbidden here, done there: " in listed
    assert (
        "   1  not mentioned: DANGER: Never cut the orange cable (electric shock), in edition 1 of Halden V2 (key i2)"
        in listed
    )
    assert "        0:50 “Never cut the orange cable, it kills.”" in listed


@pytest.mark.usefixtures("next_talk")
def test_what_was_not_mentioned_is_borrowed_by_its_number_and_taken_back(reviews: Reviews, tmp_path: Path) -> None:
    out = reviews("runa", "k|9|x|1|k||n|n|n|q", 2)
    assert out.count("not mentioned: DANGER: Never cut the orange cable") == 1, "not any more once it is borrowed"
    assert "Type a number from 1 to 2. An empty line stops." in out
    assert "i3: borrowed; two people decide on it" in out
    assert "    Borrowed from edition 1 of Halden V2" in out
    assert "i3 other source open" in table(tmp_path, 2)
    assert "known before and not mentioned" in out.splitlines()[1]
    assert "1 known before and not mentioned" in reviews("runa", "q", 2)
    assert "i4: taken back" in reviews("runa", "k|1|u|q", 2)
    assert len(table(tmp_path, 2)) == 3


@pytest.fixture
def all_decided(next_talk: None, reviews: Reviews) -> None:  # noqa: ARG001  it makes the draft
    """The draft 2 with nothing left to decide."""
    assert "All is decided: `vouchbook publish 2`" in reviews("runa", "c|c|d", 2)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        pytest.param("k", "1  not mentioned: DANGER: Never cut the orange cable", id="look"),
        pytest.param("b|1|c", "i3: borrowed; two people decide on it", id="borrow"),
        pytest.param("h|2|0:30-0:39|y|3|torch|||||y", "tool: Torch", id="by-hand"),
        pytest.param("x|q", "Press one of k b h u q ?.", id="no-key-of-it"),
        pytest.param("", "All is decided: `vouchbook publish 2`", id="the-pipe-ends"),
    ],
)
@pytest.mark.usefixtures("all_decided")
def test_what_publishing_asks_for_can_be_done_when_all_is_decided(reviews: Reviews, keys: str, said: str) -> None:
    out = reviews("runa", keys, 2)
    assert "Anything else [kbhuq?]" in out
    assert said in out


@pytest.mark.usefixtures("all_decided")
def test_what_the_new_edition_has_no_more_is_told_before_it_is_published(
    run: Run, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["alva"])
    code, out, err = run("publish", 2, "--let-go", "i2")
    assert (code, "Give --yes" in err) == (2, True)
    assert "  gone   i3  step: Pull out plug" in out
    assert "i2 (never cut the orange cable, said as" in run("publish", 2, "--yes")[2]
    assert len(run("publish")[1].splitlines()) == 1
    code, out, _ = run("publish", 2, "--yes", "--let-go", "i2")
    assert (code, "is published as 2." in out) == (0, True)


@pytest.mark.usefixtures("next_talk")
def test_a_draft_that_is_closed_says_what_became_of_it(reviews: Reviews) -> None:
    out = reviews("runa", "c|h|k", 1)
    assert out == "Draft 1 is published as 1 (edition 1 of its machine): `vouchbook publish --show 1`\n"


@pytest.mark.parametrize(
    ("item", "told"),
    [
        pytest.param(CUE | {"confidence": 0.3}, "    How sure: weak, listen to it", id="weak"),
        pytest.param(CUE | {"confidence": 0.5}, "    How sure: check this", id="check"),
        pytest.param(STEP | {"reasons": ["the deed is implied, nobody said it"]},
                     "    How sure: the deed is implied, nobody said it", id="implied-deed"),
        pytest.param({"id": "i1", "kind": "tool", "phase": "disable", "name": "socket", "implied": True, "line": 3},
                     "    How sure: not named, implied", id="implied-tool"),
        pytest.param(CUE, None, id="supported"),
    ],
)  # fmt: skip
def test_a_doubt_about_an_item_is_shown_with_it(
    brings: Callable[..., None], draft_with: Items, reviews: Reviews, item: dict[str, Any], told: str | None
) -> None:
    brings(draft_with([item]))
    shown = [line for line in reviews("runa", "q", 1).splitlines() if "How sure" in line]
    assert shown == ([told] if told else [])


@pytest.mark.usefixtures("on_table")
def test_a_later_visit_to_the_table_takes_back_ones_own_decision_and_keeps_the_others(
    reviews: Reviews, tmp_path: Path
) -> None:
    assert "This visit has no recording to hear" in reviews("runa", "n|c|q", 1)
    reviews("sven", "n|r|6|heard it otherwise|q", 1)
    out = reviews("sven", "n|u|q", 1)
    assert "Whoever decides now begins anew" in out
    assert "i2: taken back" in out
    assert "i2 recording waits for a second person" in table(tmp_path)
    assert "i2: confirmed" in reviews("sven", "n|c|q", 1)


@pytest.mark.usefixtures("on_table")
def test_a_draft_that_is_set_aside_says_so(reviews: Reviews, tmp_path: Path) -> None:
    with (
        open_library(tmp_path / "library") as library,
        library.work(Actor(person=2, login="olin", roles=frozenset({"officer"}))) as work,
    ):
        set_aside(work, 1, "read anew")
    assert reviews("runa", "c", 1) == "Draft 1 is set aside: decide on the newer draft.\n"


@pytest.mark.parametrize(
    ("keys", "outcome", "items"),
    [
        pytest.param("b|1|y|n|q", "answered", 3, id="which-answers-it"),
        pytest.param("b|1|n|n|q", None, 3, id="which-does-not"),
        pytest.param("b||q", None, 2, id="none-after-all"),
        pytest.param("b|1|y|u|u|q", None, 2, id="all-taken-back"),
    ],
)
@pytest.mark.usefixtures("next_talk")
def test_what_was_left_to_another_talk_is_borrowed_by_its_number(
    reviews: Reviews, tmp_path: Path, keys: str, outcome: str | None, items: int
) -> None:
    out = reviews("runa", f"n|n|{keys}", 2)
    assert "   1  step: Pull out plug, from edition 1 of Halden V2 (same machine)" in out
    assert "        1:00 “Pull the plug out here.”" in out
    with open_library(tmp_path / "library") as library, library.reading() as session:
        settled = draft_questions(session, 2)[0].settled
    assert (settled.outcome if settled else None, len(table(tmp_path, 2))) == (outcome, items)
    if settled is not None:
        assert settled.answer == "As in edition 1 of Halden V2 (i3): step: Pull out plug"


@pytest.mark.usefixtures("on_table")
def test_without_stills_or_candidates_there_is_nothing_to_choose(reviews: Reviews) -> None:
    out = reviews("runa", "n|n|n|s|b|q", 1)
    assert "This visit has no stills." in out
    assert "Press one of a c d s u n p h k q ?." in out


@pytest.mark.parametrize(
    ("typed", "spot"),
    [
        pytest.param("1, 40%, 55.5%|the grey one", (0.4, 0.555), id="with-words"),
        pytest.param("1 0 100|", (0.0, 1.0), id="at-the-edge"),
        pytest.param("0, 1%, 1%|1|1, 101%, 5%|1, -4%, 5%|1,5,5|", (0.05, 0.05), id="after-wrong-ones"),
        pytest.param("", None, id="not-after-all"),
    ],
)
def test_a_question_is_answered_by_a_spot_in_a_still(
    brings: Callable[..., None], draft_with: Items, reviews: Reviews, tmp_path: Path, *, typed: str,
    spot: tuple[float, float] | None,
) -> None:  # fmt: skip
    """The still of the question comes first, with its second and the path of the file that can be opened."""
    for name in ("far.jpg", "plug.jpg"):
        (tmp_path / name).write_bytes(f"a picture of {name}".encode())
    pictures = (Picture(shows="i1", file="far.jpg"), Picture(shows="q1", file="plug.jpg"))
    draft = draft_with([CUE, DANGER, STEP], [POINTER | {"start": 60, "end": 64}])
    brings(draft.model_copy(update={"pictures": pictures}))
    out = reviews("runa", f"n|n|n|s|{typed}|q", 1)
    (line,) = [one for one in out.splitlines() if "plug.jpg" in one]
    assert line.startswith("   1     1:02  plug.jpg, shows q1: ")
    assert Path(line.rpartition(": ")[2]).read_bytes() == b"a picture of plug.jpg"
    with open_library(tmp_path / "library") as library, library.reading() as session:
        settled = draft_questions(session, 1)[0].settled
    if spot is None:
        assert settled is None
        return
    assert settled is not None
    assert settled.still_sha256 == sha256(b"a picture of plug.jpg").hexdigest()
    assert settled.spot is not None
    assert (settled.spot.x, settled.spot.y) == pytest.approx(spot)
    assert settled.answer == (typed.rpartition("|")[2] or None)
