"""What was said and named by somebody who means harm, through the commands: it steers no terminal.

The commands run as at a terminal: in a pipe click leaves escape sequences out by itself, and nothing would be tested.
"""

import ast
import io
import json
import re
import sys
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import text

from vouchbook.cli import progress
from vouchbook.cli.plain import plain, say_json
from vouchbook.library.open import open_library
from vouchbook.models.draft import Draft, draft_from_json
from vouchbook.models.people import THE_LIBRARY

Run = Callable[..., tuple[int, str, str]]
CUE = {"kind": "cue", "phase": "identify", "line": 0}
DANGER = {
    "kind": "warning", "phase": "disable", "text": "never cut the orange cable", "hazard": "electric shock",
    "signal": "danger", "signal_reason": "it kills", "line": 5,
}  # fmt: skip
SAID = {
    "clears the screen": "badge\x1b[2J\x1b[H",
    "sets the title": "badge\x1b]0;all confirmed\x07",
    "goes back over what stands there": "badge\b\b\b\b\bplate",
    "an escape in one character": "badge\x9b2J",
    "turns the direction": "badge \u202edemrifnoc\u202c \u2066x\u2069",
    "a line of its own": "badge\ni9: confirmed",
    "a line of its own, otherwise": "badge\u2028i9: confirmed\u2029\x85",
    "hides what follows": "badge\x1b[8m",
    "a script": "badge <script>alert(1)</script>",
    "a path": "badge ../../etc/passwd",
    "very long": "badge " + "x" * 200_000,
}
NAMES = (
    "<script>alert(1)<script>.srt", "talk\x1b[2J.srt", "talk\u202etrs.exe", "talk\nbag.srt", "..srt", "-rf.srt",
    f"{'n' * 251}.srt",
)  # fmt: skip


NAMED = "zz\x9b2J\x9b8m\u202e\u2028\u2029zz"
"""What every name may hold; it is printed as PLAIN."""
FREE = "zz\x1b[2J\x1b[8m\x9b2J\u202e\u2028\ni9: confirmedzz"
PLAIN = {one: plain(one) for one in (NAMED, FREE)}
PRINTS = ("typer.echo", "typer.secho", "typer.prompt", "typer.confirm", "print", "sys.stdout.write", "sys.stderr.write")
RENDERS = ("view.py", "explanation.py")
"""They lay out a draft, all text of which was made plain before."""
OURS = re.compile(r"\x1b\[(?!8m)[0-9;]*m")
"""Colours and weights that the commands write themselves; to hide is none of them."""


def steers(text: str) -> set[str]:
    return {letter for letter in text if unicodedata.category(letter) in ("Cc", "Cf", "Zl", "Zp")} - {"\n"}


@pytest.fixture(autouse=True)
def _at_a_terminal(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Both outputs are terminals, without the bars that come and go there."""
    del capfd  # its streams are those that the commands write to
    monkeypatch.setattr(type(sys.stdout), "isatty", lambda _stream: True)
    monkeypatch.setattr(progress, "_is_seen", lambda: False)
    for name, value in (("TERM", "xterm-256color"), ("COLORTERM", "truecolor"), ("COLUMNS", "120")):
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("NO_COLOR", raising=False)


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


def test_json_is_the_same_to_a_program(capfd: pytest.CaptureFixture[str]) -> None:
    there = {"words": f"{FREE} {NAMED} \U000e0041 ½", "lines": [1]}
    say_json(json.dumps(there, indent=1, ensure_ascii=False) + "\n")
    out = capfd.readouterr().out
    assert (json.loads(out), steers(out), out.count("\n")) == (there, set(), 6)


@pytest.fixture
def by(run: Run, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Gives a command as somebody."""

    def command(who: str, *arguments: object) -> tuple[int, str, str]:
        monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens[who])
        return run(*arguments)

    return command


@pytest.fixture
def named(
    by: Run,
    brings: Callable[..., None],
    draft_with: Callable[..., Draft],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> Path:
    """A library in which everything that has a name or a reason is there."""
    monkeypatch.setattr("sys.stdin", io.StringIO("r\n6\nnote\nn\n"))
    talk = tmp_path / "talk.vtt"
    talk.write_text("WEBVTT\n")
    question = {"kind": "uncovered", "phase": "fire", "about": "fire", "ask": "What does it do in a fire?"}
    brings(draft_with([DANGER, CUE | {"text": "badge"}], [question]), talk, "--person", "Dov=other=Dov")
    assert by("ada", "retention", "set", "--keep", "captions=1")[0] == 0
    assert by("olin", "consent", "give", 1, "Dov", "--covers", "voice", "--note", "sheet")[0] == 0
    assert by("alva", "hold", "place", 1, "--reason", "inquiry")[0] == 0
    assert by("runa", "find", "badge", "--save", "mine")[0] == 0
    assert by("runa", "review", 1)[0] == 0
    return tmp_path / "library"


SHOWN: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "person": ("UPDATE person SET name = :it WHERE login = 'ada'", NAMED, "ada", ("people",)),
    "maker": ("UPDATE subject SET maker = :it", NAMED, "runa", ("review",)),
    "model": ("UPDATE subject SET model = :it", NAMED, "runa", ("hold",)),
    "kind": ("UPDATE subject SET maker = '', model = '', kind = :it", NAMED, "runa", ("consent",)),
    "participant": ("UPDATE participant SET name = :it", NAMED, "runa", ("consent", "list", "1")),
    "note of a consent": ("UPDATE consent SET note = :it", NAMED, "runa", ("consent", "list", "1")),
    "reason of a hold": ("UPDATE hold SET reason = :it", FREE, "runa", ("hold",)),
    "note of a rejection": ("UPDATE decision SET note = :it WHERE note IS NOT NULL", NAMED, "sven", ("review", "1")),
    "kept search": (
        "UPDATE saved_search SET query = json_set(query, '$.name', :it)",
        FREE,
        "runa",
        ("find", "--list-saved"),
    ),
    "file": ("UPDATE visit_medium SET name = :it", FREE, "alva", ("retention", "due", "--on", "2090-01-01")),
    "voice": ("UPDATE sentence SET voice = :it WHERE item_id IS NULL", FREE, "runa", ("find", "yellow")),
    "words": ("UPDATE sentence SET words = :it || words", FREE, "runa", ("find", "yellow")),
    "question": ("UPDATE question SET record = json_set(record, '$.ask', :it)", FREE, "sven", ("review", "1")),
}
"""How each came to be what it is, by another program or out of a bag; who sees it, by which command."""


@pytest.mark.parametrize("what", SHOWN)
def test_nothing_that_somebody_named_steers_a_terminal(
    by: Run, named: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    change, it, who, command = SHOWN[what]
    with open_library(named) as library, library.work(THE_LIBRARY) as work:
        work.session.execute(text(change), {"it": it})
        work.journal("changed", "visit", 1)
    monkeypatch.setattr("sys.stdin", io.StringIO("n\nn\n"))
    code, out, error = by(who, *command)
    assert (code, error) == (0, "")
    assert steers(out) == set()
    assert PLAIN[it] in out
    assert [line for line in out.splitlines() if line.startswith("i9")] == []


def test_the_reason_of_a_withdrawal_steers_no_terminal(
    by: Run,
    brings: Callable[..., None],
    draft_with: Callable[..., Draft],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    brings(draft_with([CUE | {"text": "badge"}]))
    monkeypatch.setattr("sys.stdin", io.StringIO("c\n"))
    for who, *command in (
        ("runa", "review", 1),
        ("alva", "publish", 1),
        ("alva", "publish", "--withdraw", 1, "--reason", "old"),
    ):
        assert by(str(who), *command)[0] == 0
    with open_library(tmp_path / "library") as library, library.work(THE_LIBRARY) as work:
        work.session.execute(text("UPDATE edition SET withdrawn_reason = :it"), {"it": FREE})
        work.journal("changed", "edition", 1)
    for out in (by("alva", "publish")[1], by("alva", "publish", "--show", 1)[1]):
        assert (steers(out), PLAIN[FREE] in out) == (set(), True)


@pytest.fixture
def captions(tmp_path: Path) -> Path:
    """Long enough for a few control characters to pass as text, under a name that steers as well."""
    path = tmp_path / "talk\x1b[2J\x9b8m\u202e.vtt"
    voice, hurts = "Dov\x1b[2J\x9b8m\u202e", "kills\x1b[8m\x9b2J\u202e"
    said = [(voice, f"Never cut the orange cable, it {hurts}."), (voice, f"Pull the plug{hurts[5:]} out here.")]
    said += [("Ruta", "Then chock the rear wheel, front and back, and look at it again.")] * 20
    cues = (f"00:{n:02}.000 --> 00:{n + 1:02}.000\n<v {who}>{words}\n" for n, (who, words) in enumerate(said))
    path.write_text("WEBVTT\n\n" + "\n".join(cues), encoding="utf-8")
    return path


def test_a_draft_steers_no_terminal_and_keeps_its_colours(run: Run, captions: Path) -> None:
    code, out, error = run("draft", captions, "--subject", FREE)
    assert (code, steers(error)) == (0, set())
    assert steers(OURS.sub("", out)) == set()
    assert "\x1b[1;37;48;2;200;16;46m DANGER \x1b[0m" in out
    assert "\x1b[1m" in out
    for told in ("Dov?[2J?8m?", "kills?[8m?2J?", PLAIN[FREE], "talk?[2J?8m?.vtt"):
        assert told in OURS.sub("", out)
    stored, sheet = (captions.with_name(captions.stem + ending) for ending in (".draft.json", ".draft.md"))
    assert steers(sheet.read_text(encoding="utf-8")) == set()
    assert "Dov?\\[2J?8m?" in sheet.read_text(encoding="utf-8")
    draft = draft_from_json(stored.read_text(encoding="utf-8"), stored.name)
    assert draft.transcript.words[0].voice == "Dov\x1b[2J\x9b8m\u202e"
    code, out, _ = run("draft", captions, "--json", "--subject", FREE)
    assert (code, steers(out)) == (0, set())
    assert draft_from_json(out, stored.name) == draft
    for arguments in ((), ("--least-sure",), (draft.items[0].id,), (draft.items[0].id, "--json")):
        code, out, _ = run("explain", stored, *arguments)
        assert (code, steers(OURS.sub("", out))) == (0, set())
        assert "orange cable" in out


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(("draft", "no\x1b[2J\u202e\n.vtt"), id="no-such-file"),
        pytest.param(("draft", "--\x1b[2J.vtt"), id="taken-as-an-option"),
        pytest.param(("\x1b[2J\u202e",), id="no-such-command"),
        pytest.param(("drafts", "no\x1b[2J\u202e"), id="no-such-folder"),
        pytest.param(("explain", "no\x1b[2J\n.json"), id="no-such-draft"),
        pytest.param(("due", "--on", "\x1b[2J"), id="no-day"),
        pytest.param(("publish", "--library", "no\x1b[2J\u202e"), id="no-such-library"),
    ],
)
def test_what_cannot_be_used_is_named_plain(run: Run, arguments: tuple[str, ...]) -> None:
    code, out, error = run(*arguments)
    assert (code, out) == (2, "")
    assert error
    assert steers(error) == set()


def test_nothing_is_printed_but_through_plain() -> None:
    """What ``typer.echo`` prints beside it are words of our own, without anything put into them."""
    bare = []
    for path in sorted(Path(plain.__code__.co_filename).parent.glob("*.py")):
        for call in (node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)):
            name, first = ast.unparse(call.func), call.args[0] if call.args else ast.Constant("")
            is_ours = isinstance(first, ast.Constant) or ast.unparse(first).rpartition(".")[2].isupper()
            is_plain = isinstance(first, ast.Call) and ast.unparse(first.func) == "plain"
            if name in PRINTS and not (is_ours or is_plain) and path.name != "plain.py":
                bare.append(f"{path.name}:{call.lineno}: {name}")
            if name.endswith("console.print") and path.name not in RENDERS:
                bare.append(f"{path.name}:{call.lineno}: {name}")
    assert bare == []
    for name in RENDERS:
        assert "plain_record(draft)" in Path(plain.__code__.co_filename).with_name(name).read_text("utf-8")
