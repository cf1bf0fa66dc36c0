"""The commands through their front door: output, files and exit codes."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from vouchbook.cli import (
    add,
    audit,
    backup,
    consent,
    demo,
    diff,
    doctor,
    draft,
    drafts,
    due,
    explain,
    export,
    find,
    hear,
    hold,
    import_,
    library_check,
    pack,
    participants,
    people,
    publish,
    restore,
    retention,
    review,
    schema,
    serve,
    settings,
)
from vouchbook.cli.main import main
from vouchbook.models.draft import CAUTION, draft_from_json

TALK = """WEBVTT

00:01.000 --> 00:05.000
<v Dov>First you remove the two ten millimetre bolts from the cover.

00:06.000 --> 00:09.000
<v Dov>Never cut the orange cable.
"""
COMMANDS = (
    draft, hear, drafts, explain, pack, add, review, publish, find, due, diff, audit, people, settings,
    participants, consent, hold, retention, serve, export, import_, backup, restore, library_check, demo, doctor,
    schema,
)  # fmt: skip
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "visit" / "talk.vtt"
    path.parent.mkdir()
    path.write_text(TALK, encoding="utf-8")
    return path


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: str(command.NAME))
def test_every_command_has_help_with_an_example(run: Run, command: object) -> None:
    name = command.NAME  # type: ignore[attr-defined]
    code, out, err = run(name, "--help")
    assert (code, err) == (0, "")
    assert f"vouchbook {name}" in out.split("Example", 1)[1]


def test_the_help_lists_every_command_and_the_exit_codes(run: Run) -> None:
    code, out, _ = run("--help")
    assert code == 0
    assert [name for name in (c.NAME for c in COMMANDS) if f"\n  {name}" not in out] == []
    assert "Exit codes: 0 done, 1 something is wrong, 2" in " ".join(out.split())


def test_version_and_module_are_the_same_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "vouchbook", "--version"], check=True, capture_output=True, text=True, timeout=60
    )
    assert (done.stdout, done.stderr) == ("vouchbook 0.1.0\n", "")


def test_help_imports_nothing_heavy() -> None:
    """Start-up time is what is imported: neither numbers, nor speech, nor language, nor records, nor tables."""
    code = (
        "import sys\nfrom vouchbook.cli.main import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'av', 'spacy', 'faster_whisper', 'ctranslate2', 'pydantic', 'rich'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True, timeout=60)
    assert done.stderr == "[]\n"


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        pytest.param(["draught"], "No such command 'draught'", id="unknown-command"),
        pytest.param(["draft"], "Missing argument", id="no-file"),
        pytest.param(["draft", "x.wav", "--loud"], "No such option: --loud", id="unknown-option"),
        pytest.param(["draft", "x.wav", "--voices", "0"], "greater than or equal to 1", id="no-voices"),
        pytest.param(["hear", "x.wav", "--format", "pdf"], "'pdf' is not one of", id="unknown-format"),
    ],
)
def test_a_wrong_command_line_ends_with_2(run: Run, arguments: list[str], message: str) -> None:
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert message in err


def test_draft_writes_two_files_beside_the_first_and_prints_what_they_say(run: Run, talk: Path) -> None:
    code, out, err = run("draft", talk, "--subject", "delivery van")
    assert (code, err) == (0, "")
    stored, sheet = talk.with_name("talk.draft.json"), talk.with_name("talk.draft.md")
    assert sorted(talk.parent.iterdir()) == sorted([talk, stored, sheet])
    assert out.endswith(f"Written:\n  {stored}\n  {sheet}\n")
    made = draft_from_json(stored.read_text(encoding="utf-8"), stored.name)
    assert made.subject == "delivery van"
    for text in (out, sheet.read_text(encoding="utf-8")):
        flat = " ".join(text.replace("│", " ").split())
        assert CAUTION in flat
        assert "10 mm" in flat
        assert "“Never cut the orange cable.”" in flat
        assert [question.ask for question in made.open_questions if question.ask not in flat.replace("\\", "")] == []


def test_json_is_the_stored_draft_alone_and_no_files_are_written(run: Run, talk: Path) -> None:
    code, out, err = run("draft", talk, "--json")
    assert (code, err) == (0, "")
    assert list(talk.parent.iterdir()) == [talk]
    assert draft_from_json(out, "standard output").to_json() == out
    jsonschema.validate(json.loads(out), json.loads(schema.schemas()["draft.schema.json"]))


def test_the_same_talk_gives_the_same_draft_byte_for_byte(run: Run, talk: Path) -> None:
    assert run("draft", talk, "--json") == run("draft", talk, "--json")


def test_several_files_are_one_visit_on_one_clock(run: Run, talk: Path, tmp_path: Path) -> None:
    second = tmp_path / "second.srt"
    second.write_text("1\n00:00:02,000 --> 00:00:05,000\nThen pull the service plug.\n", encoding="utf-8")
    code, out, _ = run("draft", talk, second, "--out", tmp_path / "drafts")
    assert code == 0
    made = draft_from_json((tmp_path / "drafts/talk.draft.json").read_text(encoding="utf-8"), "draft")
    assert [(source.name, source.offset_s) for source in made.transcript.sources] == [
        ("talk.vtt", 0),
        ("second.srt", 9),
    ]
    assert [word.start_s for word in made.transcript.words if word.text == "Then"] == [11]
    assert "2/0:02" in out


def test_a_chosen_pack_is_named_in_the_draft(run: Run, talk: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text('name = "own"\ntitle = "Own words"\n', encoding="utf-8")
    code, out, _ = run("draft", talk, "--json", "--pack", "building_energy", "--pack", own)
    assert code == 0
    assert json.loads(out)["read_by"]["packs"] == ["common", "building_energy", "own"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        pytest.param(
            ["draft", "{talk}", "--pack", "boats"],
            "boats: no pack of this name. "
            "Use one of road_vehicles, building_energy, lifting_industrial, or the path of a file.",
            id="unknown-pack",
        ),
        pytest.param(
            ["draft", "{talk}", "x.wav"],
            "talk.vtt is captions, x.wav is taken for a recording. Give one kind at a time.",
            id="captions-and-recordings-mixed",
        ),
        pytest.param(
            ["draft", "{talk}", "{talk}"], "talk.vtt: given twice. Name each file of the visit once.", id="given-twice"
        ),
        pytest.param(
            ["hear", "{talk}"],
            "talk.vtt is captions, there is nothing to hear. Use `vouchbook draft talk.vtt`.",
            id="captions-to-hear",
        ),
        pytest.param(
            ["draft", "{talk}", "--json", "--out", "{folder}"],
            "--json prints the draft and writes no files. Leave --out away, or --json.",
            id="json-and-a-folder",
        ),
        pytest.param(
            ["draft", "{talk}", "--hotword", "chock"],
            "talk.vtt is captions: they are read, not heard. Leave --hotword away.",
            id="hotwords-for-captions",
        ),
        pytest.param(
            ["draft", "{talk}", "--voices", "2"],
            "talk.vtt is captions: voices can be told apart in recordings only. Leave --voices out.",
            id="voices-in-captions",
        ),
        pytest.param(
            ["hear", "x.wav", "--stdout"],
            "--stdout prints one format. Name it, for example --format vtt.",
            id="four-formats-on-standard-output",
        ),
        pytest.param(
            ["drafts", "{folder}/none", "--out", "{folder}"],
            "{folder}/none: no such folder. Give the folder that holds the captions.",
            id="no-folder",
        ),
        pytest.param(
            ["draft", "{talk}", "--out", "{talk}"],
            "{talk}: cannot be written (File exists). Make room, or give another folder with --out.",
            id="the-output-folder-is-a-file",
        ),
    ],
)
def test_what_cannot_be_used_is_one_line_and_exit_2(run: Run, talk: Path, arguments: list[str], message: str) -> None:
    places = {"talk": str(talk), "folder": str(talk.parent)}
    code, out, err = run(*(argument.format(**places) for argument in arguments))
    assert (code, out, err) == (2, "", message.format(**places) + "\n")
    assert list(talk.parent.iterdir()) == [talk]


def test_drafts_go_into_a_folder_beside_the_captions_when_none_is_named(run: Run, talk: Path) -> None:
    code, out, _ = run("drafts", talk.parent)
    assert code == 0
    assert out.startswith(f"{talk.parent / 'drafts' / talk.stem}.json: ")
    assert [path.name for path in (talk.parent / "drafts").iterdir()] == [f"{talk.stem}.json"]


def test_drafts_makes_one_for_each_captions_file_and_names_those_it_cannot_use(run: Run, talk: Path) -> None:
    (talk.parent / "broken.srt").write_text("no captions in here\n", encoding="utf-8")
    (talk.parent / "notes.txt").write_text("[0:01] Not captions of a visit.\n", encoding="utf-8")
    target = talk.parent / "drafts"
    code, out, err = run("drafts", talk.parent, "--out", target)
    assert code == 1
    assert out.startswith(f"{target / 'talk.json'}: 1 step")
    assert err.startswith("broken.srt: ")
    assert len(err.splitlines()) == 1
    assert [path.name for path in target.iterdir()] == ["talk.json"]


def test_two_captions_of_one_name_are_refused(run: Run, talk: Path) -> None:
    talk.with_suffix(".srt").write_text("", encoding="utf-8")
    code, _, err = run("drafts", talk.parent, "--out", talk.parent / "drafts")
    assert code == 2
    assert err.endswith("talk.srt and talk.vtt would give the same draft. Rename or move one of them.\n")


def test_schema_check_tells_the_published_from_a_stale_one(run: Run, tmp_path: Path) -> None:
    assert run("schema", tmp_path)[0] == 0
    assert run("schema", tmp_path, "--check") == (0, "", "")
    (tmp_path / "draft.schema.json").write_text("{}", encoding="utf-8")
    code, _, err = run("schema", tmp_path, "--check")
    assert code == 1
    assert (
        err == f"{tmp_path / 'draft.schema.json'}: not what this version writes. Run `vouchbook schema {tmp_path}`.\n"
    )


def test_a_defect_of_ours_keeps_its_traceback(monkeypatch: pytest.MonkeyPatch, talk: Path) -> None:
    def broken(_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("vouchbook.cli.draft.make", broken)
    with pytest.raises(ZeroDivisionError):
        main(["draft", str(talk)])


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    """Two seconds of a human reader, with a person's own captions beside it."""
    clip = Path(__file__).parents[1] / "extract" / "listen" / "human_speech" / "0880.flac"
    folder = tmp_path / "recordings"
    folder.mkdir()
    (folder / "visit.vtt").write_text("a person's captions", encoding="utf-8")
    return Path(shutil.copy(clip, folder / "visit.flac"))


@pytest.mark.sound
def test_hear_writes_each_format_and_leaves_a_persons_captions_alone(run: Run, recording: Path) -> None:
    code, out, err = run("hear", recording, "--model", "tiny.en")
    written = [recording.with_name(f"visit.heard.{ending}") for ending in ("vtt", "srt", "txt", "json")]
    assert (code, err) == (0, "")
    assert out.splitlines() == [str(path) for path in written]
    assert (recording.parent / "visit.vtt").read_text(encoding="utf-8") == "a person's captions"
    for path in written:
        assert "young man" in path.read_text(encoding="utf-8").lower()


@pytest.mark.sound
def test_hotwords_are_shown_with_what_they_risk(run: Run, recording: Path) -> None:
    words = ("--hotword", "chock", "--hotword", "busbar")
    code, _, err = run("hear", recording, "--model", "tiny.en", "--format", "txt", "--stdout", *words)
    assert code == 0
    assert err.startswith("Hotwords: chock, busbar. They may be heard where nobody said them.\n")


@pytest.mark.sound
@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminals")
def test_progress_with_time_left_is_shown_on_a_terminal_and_keeps_out_of_the_result(
    recording: Path, tmp_path: Path
) -> None:
    import pty

    terminal, its_end = pty.openpty()
    command = [
        sys.executable,
        "-m",
        "vouchbook",
        "hear",
        str(recording),
        "--model",
        "tiny.en",
        "--format",
        "txt",
        "--stdout",
    ]
    environment = os.environ | {"VOUCHBOOK_CACHE": str(tmp_path / "cache"), "TERM": "xterm-256color", "COLUMNS": "100"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=its_end, env=environment) as process:
        os.close(its_end)
        shown = b""
        try:
            while piece := os.read(terminal, 4096):
                shown += piece
        except OSError:  # how Linux tells that the other end is closed
            pass
        assert process.stdout is not None
        result = process.stdout.read()
    os.close(terminal)
    assert process.returncode == 0
    assert b"Listening" in shown
    assert b" of 0:0" in shown
    assert b" left" in shown
    assert b"young man" in result.lower()
    assert b"\x1b" not in result


def test_completion_of_the_shell_knows_the_commands() -> None:
    environment = os.environ | {"_VOUCHBOOK_COMPLETE": "complete_bash", "COMP_WORDS": "vouchbook d", "COMP_CWORD": "1"}
    done = subprocess.run(
        [Path(sys.executable).with_name("vouchbook")],
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
        env=environment,
    )
    assert set(done.stdout.split()) == {"draft", "drafts", "demo", "doctor", "due", "diff"}


@pytest.mark.sound
def test_doctor_finds_nothing_wrong_here(run: Run) -> None:
    code, out, _ = run("doctor", "--json")
    findings = json.loads(out)
    assert [finding for finding in findings["findings"] if not finding["ok"]] == []
    assert (code, findings["ok"]) == (0, True)
    found = {finding["what"]: finding["found"] for finding in findings["findings"]}
    assert "SHA-256 d01c3014881c9c6f" in found["speech model base"]
    assert found["hearing"].startswith("ten seconds of noise gave no words")
    assert found["reading"].startswith("two known sentences gave the step and the warning")


def test_doctor_ends_with_1_and_says_what_to_do_when_something_is_wrong(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A machine without the packages of the speech models, and with a data folder that cannot be made."""
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("VOUCHBOOK_DATA", str(tmp_path / "file"))
    monkeypatch.setattr(doctor, "PACKAGES", ("spacy", "no-such-package"))
    code, out, _ = run("doctor")
    lines = out.splitlines()
    assert code == 1
    assert (
        "WRONG  package no-such-package: not installed. Install the packages that requirements/run.txt lists." in lines
    )
    assert [line for line in lines if line.startswith("WRONG  speech model base: ") and "VOUCHBOOK_DATA" in line]
    assert [line for line in lines if line.startswith("ok     reading: ")]
