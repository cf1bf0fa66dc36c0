"""``vouchbook explain`` through its front door, and what is printed of every entry of the demo draft."""

import io
import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from vouchbook.cli.explanation import show
from vouchbook.cli.explanation_phrases import OVER_ALL, PIECES, likely
from vouchbook.cli.phrases import statement
from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.explained.explain import Explainer
from vouchbook.extract.read.marked.weighing import EVIDENCE
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.run import Drafting, transcript_of
from vouchbook.extract.tagger.card import DEED
from vouchbook.extract.tagger.labels import HEADS
from vouchbook.extract.tagger.load import load_tagger
from vouchbook.models.clock import clock
from vouchbook.models.draft import Draft, draft_from_json

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
VAN = ROOT / "demo_audio" / "delivery-van.vtt"
OWN = 'name = "station"\ntitle = "Ours"\npart = [{ term = "service plug", synonyms = ["zebra brick"] }]\n'
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def van() -> Draft:
    return Drafting().draft(transcript_of([VAN]))


@pytest.fixture
def stored(van: Draft, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The stored draft, named without its folder as people in that folder name it."""
    monkeypatch.chdir(tmp_path)
    Path("van.draft.json").write_text(van.to_json(), encoding="utf-8")
    Path("station.toml").write_text(OWN, encoding="utf-8")
    return Path("van.draft.json")


def on_one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [60, 100])
def test_every_entry_of_the_demo_draft_is_printed_with_its_words_and_what_made_it(van: Draft, width: int) -> None:
    packs = [load_pack(name) for name in van.read_by.packs]
    explainer = Explainer(Reader(layered(*packs), load_tagger()), packs, van)
    for entry in (*van.items, *van.open_questions):
        target = io.StringIO()
        show(explainer.explain(entry), van, Console(file=target, width=width, highlight=False, markup=False))
        text = "".join(target.getvalue().split())
        assert text.startswith(f"{entry.id},")
        assert "Readagainnow,itisthesame." in text
        for evidence in entry.evidence:
            assert f"({evidence.start_s:.1f}to{evidence.end_s:.1f}s)" in text
            assert width < 100 or "".join(evidence.quote.split()) in text  # a narrow column breaks quotes
        headings = {"FOUNDBY", "WHATWASWEIGHED"} if entry.id.startswith("i") else {"THERULE"}
        assert {heading for heading in headings if heading in text} == headings


def test_all_that_is_weighed_and_told_over_all_has_its_words() -> None:
    assert set(PIECES) == set(EVIDENCE)
    assert len(set(PIECES.values())) == len(EVIDENCE)
    assert set(OVER_ALL) <= {*HEADS, DEED}


def test_without_an_item_all_are_listed_with_their_ids(run: Run, stored: Path, van: Draft) -> None:
    code, out, err = run("explain", stored)
    assert (code, err) == (0, "")
    listed = re.findall(r"^([iq]\d+) +(?:\d+:)+\d\d +\S", out, re.MULTILINE)
    assert listed == [entry.id for entry in (*van.items, *van.open_questions)]


def test_the_least_sure_items_are_listed_first_when_asked_for(run: Run, stored: Path, van: Draft) -> None:
    code, out, err = run("explain", stored, "--least-sure")
    assert (code, err) == (0, "")
    listed = re.findall(r"^(i\d+) +(?:\d+:)+\d\d +(weak|check|supported|well)", out, re.MULTILINE)
    assert sorted(entry for entry, _ in listed) == sorted(item.id for item in van.items)
    order = ["weak", "check", "supported", "well"]
    assert [order.index(sure) for _, sure in listed] == sorted(order.index(sure) for _, sure in listed)


def test_a_step_is_explained(run: Run, stored: Path, van: Draft) -> None:
    step = next(item for item in van.items if item.kind == "step" and item.action == "chock")
    code, out, err = run("explain", stored, step.id)
    assert (code, err) == (0, "")
    lines = [on_one_line(line) for line in out.splitlines()]
    assert lines[0] == f"{step.id}, step: {statement(step)}"
    assert "Read by Vouchbook 0.1.0 with common, road_vehicles: confidence" in on_one_line(out)
    weighed = lines[lines.index("WHAT WAS WEIGHED") + 1 :]
    for_it = weighed[1 : weighed.index("Speaks against it")]
    much = ["strongly", "clearly", "a little"]
    ranks = [next(rank for rank, word in enumerate(much) if line.startswith(word)) for line in for_it]
    assert weighed[0] == "Speaks for it"
    assert ranks == sorted(ranks)
    assert re.search(
        r"Before any of this every step is 0\.\d\d likely to be right\. All of it together makes this one 0\.\d\d "
        r"likely; 0\.\d\d is enough\.",
        on_one_line(out),
    )
    assert "“chock” verb “chock” (common), by this name; speaks firmly for “Keep it from moving”" in on_one_line(out)


@pytest.mark.parametrize("log_odds", [-3.0, -1.61, 0.0, 0.87, 4.0])
def test_likely_is_the_inverse_of_log_odds(log_odds: float) -> None:
    assert math.log(likely(log_odds) / (1 - likely(log_odds))) == pytest.approx(log_odds)


def test_an_id_may_be_written_in_capitals(run: Run, stored: Path) -> None:
    assert run("explain", stored, "I2") == run("explain", stored, "i2")


def test_a_time_stands_for_what_is_said_there(run: Run, stored: Path, van: Draft) -> None:
    entries = (*van.items, *van.open_questions)
    at = {
        second: {n.id for n in entries for e in n.evidence if e.start_s < second + 1 and second <= e.end_s}
        for second in range(int(van.transcript.duration_s))
    }
    several = next(second for second, ids in at.items() if len(ids) > 1)
    one = next(second for second, ids in at.items() if len(ids) == 1)
    for named in (clock(several), f"{several}s"):
        code, out, err = run("explain", stored, named)
        assert (code, err) == (0, "")
        assert set(re.findall(r"^([iq]\d+) ", out, re.MULTILINE)) == at[several]
    (only,) = at[one]
    assert run("explain", stored, clock(one)) == run("explain", stored, only)
    code, out, err = run("explain", stored, clock(several), "--json")
    assert (code, out) == (2, "")
    assert "name one" in err


def test_the_sheet_stands_for_the_draft_beside_it(run: Run, stored: Path) -> None:
    Path("van.draft.md").write_text("# Van", encoding="utf-8")
    assert run("explain", Path("van.draft.md"), "i1") == run("explain", stored, "i1")
    Path("alone.draft.md").write_text("# Van", encoding="utf-8")
    message = (
        "alone.draft.md: the sheet to read, which does not hold what made it. Give the stored draft, "
        "alone.draft.json; it is not beside it.\n"
    )
    assert run("explain", Path("alone.draft.md"), "i1") == (2, "", message)


def test_a_question_is_explained_by_its_words_and_its_rule(run: Run, stored: Path, van: Draft) -> None:
    question = next(q for q in van.open_questions if q.kind == "conflict")
    code, out, _ = run("explain", stored, question.id)
    assert code == 0
    flat = on_one_line(out)
    assert flat.startswith(f"{question.id}, question: {question.ask}")
    assert "THE RULE two statements of this talk cannot both be true" in flat
    assert "“five minutes.” 5 min (time); left off: two statements dispute it" in flat


def test_json_holds_what_is_printed(run: Run, stored: Path, van: Draft) -> None:
    step = next(item for item in van.items if item.kind == "step" and item.action == "chock")
    code, out, err = run("explain", stored, step.id, "--json")
    data: dict[str, Any] = json.loads(out)
    assert (code, err) == (0, "")
    assert data["stored"] == data["today"] == json.loads(step.model_dump_json())
    assert data["tellings"]
    for telling in data["tellings"]:
        assert {piece["name"] for piece in telling["pieces"]} == set(EVIDENCE)
    scores = [data["sure"], *(change["score"] for change in data["adjusted"])]
    assert round(scores[-1], 2) == step.confidence
    assert json.loads(run("explain", stored, "q1", "--json")[1])["stored"]["id"] == "q1"


def test_a_draft_of_another_version_is_told_apart_in_one_line(run: Run, stored: Path, van: Draft) -> None:
    step = next(item for item in van.items if item.kind == "step" and item.action == "chock")
    document = json.loads(van.to_json())
    document["read_by"]["vouchbook"] = "0.0.9"
    for item in document["items"]:
        if item["id"] == step.id:
            item.update(id="i900", action="wedge")
        for tied in ("guards", "instead_of"):
            if tied in item:
                item[tied] = ["i900" if each == step.id else each for each in item[tied]]
    stored.write_text(json.dumps(document), encoding="utf-8")
    code, out, _ = run("explain", stored, "i900")
    assert code == 0
    lines = [line.strip() for line in out.splitlines()]
    assert f"Read by Vouchbook 0.0.9 with common, road_vehicles: confidence {step.confidence}." in lines
    assert f"Read again now (as {step.id}), it differs: action was wedge, is chock." in lines


GUARDED = (
    "WEBVTT\n\n00:01.000 --> 00:04.000\nPress the grey button.\n\n00:05.000 --> 00:09.000\n"
    "If that fails, cut the loop.\n\n00:10.000 --> 00:16.000\nNever cut the loop with bare hands, it's still live.\n"
)


def test_why_a_signal_word_what_a_warning_guards_and_what_another_way_replaces(run: Run, stored: Path) -> None:
    Path("talk.vtt").write_text(GUARDED, encoding="utf-8")
    made = run("draft", Path("talk.vtt"), "--json")[1]
    stored.write_text(made, encoding="utf-8")
    items = json.loads(made)["items"]
    button = next(item["id"] for item in items if item["kind"] == "step" and item["action"] == "press")
    loop = next(item for item in items if item["kind"] == "step" and item["action"] == "cut")
    warning = next(item for item in items if item["kind"] == "warning")
    assert (loop["instead_of"], warning["guards"]) == ([button], [loop["id"]])
    told = on_one_line(run("explain", stored, warning["id"])[1])
    assert f"WHY ITS SIGNAL WORD IS DANGER {warning['signal_reason']}." in told
    assert f"STANDS BEFORE THE STEPS THAT IT GUARDS {loop['id']} " in told
    assert "it forbids to cut loop, or to do so in such a way" in told
    told = on_one_line(run("explain", stored, loop["id"])[1])
    assert f"ANOTHER WAY: IF THAT FAILS, INSTEAD OF {button} Press grey button" in told
    assert "“if that fails” is said of the step told last before it" in told


def test_a_draft_that_ties_a_warning_to_other_steps_is_told_apart(run: Run, stored: Path) -> None:
    Path("talk.vtt").write_text(GUARDED, encoding="utf-8")
    document = json.loads(run("draft", Path("talk.vtt"), "--json")[1])
    warning = next(item for item in document["items"] if item["kind"] == "warning")
    loop = next(item for item in document["items"] if item["id"] in warning["guards"])
    warning["guards"] = []
    stored.write_text(json.dumps(document), encoding="utf-8")
    told = on_one_line(run("explain", stored, warning["id"])[1])
    assert f"it differs: the steps that it guards were none, are {loop['quote']}." in told


def test_a_draft_that_was_read_with_a_pack_of_our_own_asks_for_it(run: Run, stored: Path) -> None:
    talk = Path("talk.vtt")
    talk.write_text("WEBVTT\n\n00:01.000 --> 00:04.000\nThen pull the zebra brick.\n", encoding="utf-8")
    made = run("draft", talk, "--pack", "road_vehicles", "--pack", "station.toml", "--json")[1]
    stored.write_text(made, encoding="utf-8")
    assert draft_from_json(made, "made").read_by.packs == ("common", "road_vehicles", "station")
    message = "van.draft.json: was read with the pack station too. Give its file with --pack.\n"
    assert run("explain", stored, "i1") == (2, "", message)
    code, out, err = run("explain", stored, "i1", "--pack", "station.toml")
    assert (code, err) == (0, "")
    assert "Read again now, it is the same." in out
    assert "“zebra brick.” part “service plug” (road_vehicles, station), by another of its names" in on_one_line(out)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        pytest.param(
            ["van.draft.json", "i999"], r"van\.draft\.json: no i999 in this draft\. Give one of .*", id="item"
        ),
        pytest.param(
            ["van.draft.json", "9:59:59"],
            r"van\.draft\.json: nothing rests on words said at 9:59:59\. The nearest is [iq]\d+ at \d+:\d\d\.",
            id="a-time-of-nothing",
        ),
        pytest.param(
            ["none.json", "i1"], r"none\.json: cannot be read \(No such file or directory\)\. .*", id="no-file"
        ),
        pytest.param([str(VAN), "i1"], r"delivery-van\.vtt: not JSON \(.*\)\. Give a draft that .*", id="captions"),
        pytest.param(
            ["sound.json", "i1"], r"sound\.json: not UTF-8 text\. Give a stored draft \(\.json\)\.", id="sound"
        ),
        pytest.param(
            ["list.json", "i1"], r"list\.json: not a Vouchbook draft: it has no version\. .*", id="other-json"
        ),
        pytest.param(
            ["van.draft.json", "i1", "--pack", "road_vehicles"],
            r"--pack road_vehicles: the draft itself names it\. Give only files of your own\.",
            id="a-pack-by-name",
        ),
        pytest.param(
            ["van.draft.json", "i1", "--pack", "station.toml"],
            r"van\.draft\.json: was not read with the pack station\. Leave that file out\.",
            id="a-pack-too-many",
        ),
        pytest.param(
            ["van.draft.json", "--json"], r"--json gives one explanation\. Name the ITEM, .*", id="json-of-nothing"
        ),
        pytest.param(
            ["van.draft.json", "i1", "--pack", "gone.toml"], r"gone\.toml: cannot be read \(.*\)\. .*", id="no-pack"
        ),
    ],
)
@pytest.mark.usefixtures("stored")
def test_what_cannot_be_used_is_told_in_one_line(run: Run, arguments: list[str], message: str) -> None:
    Path("sound.json").write_bytes(b"\xff\xfe\x00OggS")
    Path("list.json").write_text("[1, 2]", encoding="utf-8")
    code, out, err = run("explain", *arguments)
    assert (code, out) == (2, "")
    assert re.fullmatch(message + r"\n", err)


def test_the_help_has_examples_and_stays_light(run: Run) -> None:
    code, out, _ = run("explain", "--help")
    assert code == 0
    assert "vouchbook explain visit.draft.json q3" in out.split("Example", 1)[1]
    script = (
        "import sys\nfrom vouchbook.cli.main import main\n"
        "try:\n    main(['explain', '--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'vouchbook.models.draft', 'numpy', 'rich', 'spacy', 'onnxruntime'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True, timeout=60)
    assert done.stderr == "[]\n"


def test_the_readme_shows_what_explain_prints(run: Run, stored: Path) -> None:
    """Each piece between the lines of dots stands in the real output, in that order; if not, show the new output."""
    (excerpt,) = re.findall(r"<!-- explain -->\n```text\n(.*?)```", README, re.DOTALL)
    shown = excerpt.split(",", 1)[0]
    code, rest, _ = run("explain", stored, shown)
    assert code == 0
    pieces = [piece.strip("\n") for piece in excerpt.split("...\n")]
    assert len(pieces) > 3
    for piece in pieces:
        assert piece in rest, f"`vouchbook explain` does not print this of {shown}, or not here:\n{piece}"
        rest = rest.split(piece, 1)[1]
