"""The command that compares: what it refuses, and what it does with another scorer."""

import subprocess
import sys
from pathlib import Path

COMPARE = Path(__file__).parents[2] / "benchmarks" / "reading" / "compare.py"


def compare(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(COMPARE), *map(str, arguments)]
    return subprocess.run(command, check=False, capture_output=True, text=True)


def test_a_folder_without_gold_is_refused_in_one_line(tmp_path: Path) -> None:
    result = compare(tmp_path)
    assert (result.returncode, result.stderr.count("\n")) == (2, 1)
    assert "no NAME.gold.json in it" in result.stderr


def test_open_data_is_read_from_the_folder_and_another_scorer_is_called_for_each_reader(tmp_path: Path) -> None:
    (tmp_path / "a.gold.json").write_text("{}", encoding="utf-8")
    captions = "WEBVTT\n\n00:00:01.000 --> 00:00:04.000\nRemove the grey cover with the two handles.\n"
    (tmp_path / "a.vtt").write_text(captions, encoding="utf-8")
    scorer = tmp_path / "scorer.py"
    scorer.write_text(
        "import pathlib, sys\nprint('scored', *(p.name for p in pathlib.Path(sys.argv[2]).iterdir()))\n",
        encoding="utf-8",
    )
    data = tmp_path / "open"
    data.mkdir()
    (data / "lab_actions.jsonl").write_text(
        '{"tokens": ["Mix", "the", "acid", "."], "tags": ["B-Action", "O", "O", "O"]}\n', encoding="utf-8"
    )
    result = compare(tmp_path, "--scorer", scorer, "--open", data)
    assert result.returncode == 0, result.stderr
    assert result.stdout.count("scored a.json") == 4
    assert "| action (1) |" in result.stdout


def test_an_open_folder_without_any_set_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.gold.json").write_text("{}", encoding="utf-8")
    result = compare(tmp_path, "--open", tmp_path)
    assert (result.returncode, result.stderr.count("\n")) == (2, 1)
    assert "lab_actions.jsonl" in result.stderr
