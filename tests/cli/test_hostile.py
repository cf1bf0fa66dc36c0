"""What was said and named by somebody who means harm, through the commands: it steers no terminal."""

import io
import json
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from vouchbook.cli.plain import plain
from vouchbook.library.open import open_library
from vouchbook.models.draft import Draft

Run = Callable[..., tuple[int, str, str]]
CUE = {"kind": "cue", "phase": "identify", "line": 0}
SAID = {
    "clears the screen": "badge\x1b[2J\x1b[H",
    "sets the title": "badge\x1b]0;all confirmed\x07",
    "goes back over what stands there": "badge\b\b\b\b\bplate",
    "an escape in one character": "badge\x9b2J",
    "turns the direction": "badge \u202edemrifnoc\u202c \u2066x\u2069",
    "a line of its own": "badge\ni9: confirmed",
    "a line of its own, otherwise": "badge\u2028i9: confirmed\u2029\x85",
    "a script": "badge <script>alert(1)</script>",
    "a path": "badge ../../etc/passwd",
    "very long": "badge " + "x" * 200_000,
}
NAMES = (
    "<script>alert(1)<script>.srt", "talk\x1b[2J.srt", "talk\u202etrs.exe", "talk\nbag.srt", "..srt", "-rf.srt",
    f"{'n' * 251}.srt",
)  # fmt: skip


def steers(text: str) -> set[str]:
    return {letter for letter in text if unicodedata.category(letter) in ("Cc", "Cf", "Zl", "Zp")} - {"\n"}


@pytest.mark.parametrize("said", SAID.values(), ids=SAID)
def test_what_was_said_steers_no_terminal(
    run: Run,
    draft_with: Callable[..., Draft],
    brings: Callable[..., None],
    tokens: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
    *,
    said: str,
) -> None:
    brings(draft_with([CUE | {"text": said}]))
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["runa"])
    monkeypatch.setattr("sys.stdin", io.StringIO("c\n"))
    outs = {"review": run("review", 1)}
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["alva"])
    outs |= {"publish": run("publish", 1), "show": run("publish", "--show", 1), "find": run("find", "badge")}
    outs |= {"list": run("publish"), "audit": run("audit", "log"), "verify": run("audit")}
    assert {name: (code, error) for name, (code, _, error) in outs.items()} == dict.fromkeys(outs, (0, ""))
    assert {name: steers(out) for name, (_, out, _) in outs.items()} == {name: set() for name in outs}
    assert "adge" in outs["show"][1]
    for name in ("review", "show", "find"):
        assert [line for line in outs[name][1].splitlines() if line.startswith("i9")] == []
    found = json.loads(run("find", "--json", "badge")[1])
    assert found["results"]


def test_words_with_nul_are_not_added(
    run: Run, draft_with: Callable[..., Draft], tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["olin"])
    path = tmp_path / "talk.draft.json"
    path.write_text(draft_with([CUE | {"text": "badge\x00end"}]).to_json(), encoding="utf-8")
    code, out, error = run("add", path, "--kind", "van", "--maker", "Halden", "--held", "2031-03-01")
    assert (code, out) == (2, "")
    assert "NUL" in error
    assert steers(error) == set()


@pytest.mark.parametrize("name", NAMES)
def test_a_file_of_any_name_is_kept_under_its_hash_alone(
    run: Run, draft_with: Callable[..., Draft], brings: Callable[..., None], tmp_path: Path, *, name: str
) -> None:
    source = tmp_path / "given" / name
    source.parent.mkdir()
    source.write_text("1\n00:00:00,000 --> 00:00:02,000\nA yellow badge.\n")
    brings(draft_with([CUE | {"text": "a yellow badge"}]), source)
    code, out, error = run("export", tmp_path / "bag")
    assert (code, error) == (0, "")
    assert steers(out) == set()
    kept = [path.name for folder in ("library", "bag") for path in (tmp_path / folder).rglob("*")]
    assert kept
    assert name not in kept
    assert [one for one in kept if steers(one) or "<" in one] == []
    with open_library(tmp_path / "library") as library:
        assert library.media.folder.is_dir()


def test_what_is_plain_stays_as_it_is() -> None:
    assert plain("3 × 10 mm, “grün” — 充電口 \u00a0½") == "3 × 10 mm, “grün” — 充電口 \u00a0½"
    assert plain("a\tb\r\nc\x7f\ufeff\ud800") == "a?b??c???"
