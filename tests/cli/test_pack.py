"""``vouchbook pack check`` through its front door."""

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]
README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
HEAD = 'name = "station_four"\ntitle = "Words of station four"\n'
GOOD = HEAD + 'part = [{ term = "zip box", phase = "fire" }]\n'
BAD = HEAD + 'part = [\n  { term = "Zip Box" },\n  { term = "zed box", act = "open" },\n]\n'
DOUBTFUL = HEAD + 'part = [{ term = "emergency stop", phase = "fire" }]\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, text in (("good", GOOD), ("bad", BAD), ("doubtful", DOUBTFUL)):
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("files", "code", "verdicts"),
    [
        pytest.param(["good"], 0, ["good.toml: can be used, 0 errors, 0 warnings"], id="good"),
        pytest.param(["bad"], 2, ["bad.toml: cannot be used yet, 2 errors, 0 warnings"], id="bad"),
        pytest.param(
            ["doubtful"], 0, ["doubtful.toml: can be used, 0 errors, 2 warnings"], id="warnings-are-no-errors"
        ),
        pytest.param(["none"], 2, ["none.toml: cannot be used yet, 1 error, 0 warnings"], id="missing"),
        pytest.param(
            ["bad", "good"],
            2,
            ["bad.toml: cannot be used yet, 2 errors, 0 warnings", "good.toml: can be used, 0 errors, 1 warning"],
            id="one-of-two",
        ),
    ],
)
def test_the_exit_code_and_the_last_word_on_each_file(
    run: Run, files: list[str], code: int, verdicts: list[str]
) -> None:
    found, out, err = run("pack", "check", *(f"{name}.toml" for name in files))
    assert (found, err) == (code, "")
    assert [line for line in out.splitlines() if "be used" in line] == verdicts


@pytest.mark.usefixtures("folder")
def test_each_finding_is_one_line_with_its_place_and_what_to_do(run: Run) -> None:
    _, out, _ = run("pack", "check", "bad.toml")
    assert out.splitlines()[:2] == [
        "bad.toml:4: error: part 'Zip Box': term 'Zip Box' has capital letters. Write 'zip box'.",
        ("bad.toml:5: error: part 'zed box': only a verb has an 'act'. Take it out, or move the entry to verb = […]."),
    ]


@pytest.mark.usefixtures("folder")
def test_files_are_layers_in_the_order_given(run: Run) -> None:
    first, second = run("pack", "check", "good.toml", "doubtful.toml")[1].split("good.toml: can be used")
    assert first == ""
    assert "over       common, road_vehicles, building_energy, lifting_industrial, good.toml\n" in second


@pytest.mark.usefixtures("folder")
def test_json_says_the_same(run: Run) -> None:
    code, out, err = run("pack", "check", "bad.toml", "doubtful.toml", "--json")
    data = json.loads(out)
    assert (code, err, data["ok"]) == (2, "", False)
    assert [(file["file"], file["ok"]) for file in data["files"]] == [("bad.toml", False), ("doubtful.toml", True)]
    assert data["files"][0]["findings"][0] == {
        "severity": "error",
        "line": 4,
        "what": "part 'Zip Box': term 'Zip Box' has capital letters",
        "remedy": "Write 'zip box'",
    }
    assert data["files"][1]["overrides"] == ["part 'emergency stop'"]


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        pytest.param(["check"], "Missing argument 'FILE'", id="no-file"),
        pytest.param(["chek", "good.toml"], "'chek' is not one of 'check'", id="unknown-action"),
        pytest.param(["check", "good.toml", "good.toml"], "good.toml: given twice. Name each file once.", id="twice"),
    ],
)
def test_a_wrong_command_line_ends_with_2(run: Run, arguments: list[str], message: str) -> None:
    code, out, err = run("pack", *arguments)
    assert (code, out) == (2, "")
    assert message in err


def test_the_help_has_an_example_and_stays_light(run: Run) -> None:
    code, out, _ = run("pack", "--help")
    assert code == 0
    assert "vouchbook pack check station.toml" in out.split("Example", 1)[1]
    script = (
        "import sys\nfrom vouchbook.cli.main import main\n"
        "try:\n    main(['pack', '--help'])\nexcept SystemExit:\n    pass\n"
        "print(sorted({'vouchbook.extract.packs.schema', 'rapidfuzz', 'spacy'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True, timeout=60)
    assert done.stderr == "[]\n"


def test_the_readme_shows_what_its_pack_gives(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (pack,) = re.findall(r"<!-- pack -->\n```toml\n(.*?)```", README, re.DOTALL)
    (shown,) = re.findall(r"<!-- pack check -->\n```text\n(.*?)```", README, re.DOTALL)
    (tmp_path / "station.toml").write_text(pack, encoding="utf-8")
    code, out, _ = run("pack", "check", "station.toml")
    assert (code, out) == (2, shown)
