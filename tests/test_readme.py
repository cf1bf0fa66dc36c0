"""What the documents show is run, and what they name is there."""

import re
import shlex
from pathlib import Path
from typing import Any, cast

import pytest
import typer.main

from vouchbook.cli.main import app, main

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "SECURITY.md", "benchmarks/README.md")
COMMAND = re.compile(r"^    (?:\S*/)?vouchbook (?!COMMAND)(.+?)(?:  +\S.*)?$", re.MULTILINE)
SHOWN = [match[1] for match in COMMAND.finditer(README)]


def test_the_readme_shows_the_two_commands_of_a_new_machine_first() -> None:
    assert "    make demo\n    make test\n" in README
    targets = re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
    assert {"demo", "test"} <= set(targets)


@pytest.mark.parametrize("shown", SHOWN)
def test_every_command_that_the_readme_shows_is_understood(shown: str) -> None:
    """Parsed by the command itself, which refuses unknown commands, options and values; not run."""
    name, *arguments = shlex.split(shown)
    command = cast("Any", typer.main.get_command(app)).commands[name]
    assert command.make_context(name, arguments).params is not None


def test_the_captions_command_of_the_readme_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    (shown,) = (shown for shown in SHOWN if "captions.vtt" in shown)
    captions = (ROOT / "demo_audio" / "delivery-van.vtt").read_text(encoding="utf-8")
    (tmp_path / "captions.vtt").write_text(captions, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as stopped:
        main(shlex.split(shown))
    assert stopped.value.code == 0
    assert "Written:\n  captions.draft.json\n  captions.draft.md\n" in capfd.readouterr().out


@pytest.mark.sound
def test_the_readme_shows_what_the_demo_prints(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Each piece between the lines of dots stands in the real output, in that order; if not, show the new output."""
    monkeypatch.setenv("VOUCHBOOK_CACHE", str(tmp_path / "cache"))
    with pytest.raises(SystemExit) as stopped:
        main(["demo", "--out", str(tmp_path / "demo")])
    assert stopped.value.code == 0
    printed = capfd.readouterr().out
    shown = re.findall(r"<!-- demo -->\n```text\n(.*?)```", README, re.DOTALL)
    (excerpt,) = shown
    rest = printed
    pieces = [piece.strip("\n") for piece in excerpt.split("...\n")]
    assert len(pieces) > 3
    for piece in pieces:
        assert piece in rest, f"the demo does not print this, or not here:\n{piece}"
        rest = rest.split(piece, 1)[1]
    assert {path.name for path in (tmp_path / "demo").iterdir()} == {"delivery-van.draft.json", "delivery-van.draft.md"}
    assert f"  {tmp_path / 'demo' / 'delivery-van.draft.json'}\n" in printed


@pytest.mark.parametrize("page", PAGES)
def test_every_link_and_path_in_the_documents_leads_somewhere(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    folder = (ROOT / page).parent
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    named = re.findall(r"`((?:[a-z_.]+/)+[A-Za-z_.]*)`", text)
    patterns = [name for name in named if not name.startswith((".venv", "~"))]
    assert [link for link in links if not (folder / link).exists()] == []
    assert [name for name in patterns if not (ROOT / name).exists() and not any(ROOT.rglob(name))] == []
