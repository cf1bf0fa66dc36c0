"""A visit on its way through the commands: people, add, review, publish, find, due, diff, audit."""

import io
import os
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import text

from vouchbook.library.open import open_library
from vouchbook.library.people.passwords import SHORTEST
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.store.open import writer_of
from vouchbook.models.draft import Draft
from vouchbook.models.people import THE_LIBRARY, Actor, Role, actor_of

Run = Callable[..., tuple[int, str, str]]
Items = Callable[..., Draft]
As = Callable[[str], None]
Typed = Callable[[str], None]
STAFF: dict[str, Role] = {
    "ada": "administrator", "olin": "officer", "runa": "reviewer", "sven": "reviewer", "alva": "archivist",
}  # fmt: skip
ADA = Actor(person=1, login="ada", roles=frozenset({"administrator"}))
CUE = {"id": "i1", "kind": "cue", "phase": "identify", "text": "a yellow badge", "line": 0}
STEP = {"id": "i3", "kind": "step", "phase": "disable", "action": "pull out", "object": "plug", "line": 6}
DANGER = {
    "id": "i2", "kind": "warning", "phase": "disable", "text": "never cut the orange cable", "hazard": "electric shock",
    "signal": "danger", "signal_reason": "it kills", "guards": ["i3"], "line": 5,
}  # fmt: skip
ADD = ("--kind", "van", "--maker", "Halden", "--model", "V2", "--years", "2029-2031", "--held", "2031-03-01")


@pytest.fixture
def where(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A library with its people; all commands of the test work with it."""
    folder = tmp_path / "library"
    monkeypatch.setenv("VOUCHBOOK_LIBRARY", str(folder))
    return folder


@pytest.fixture
def act_as(where: Path, monkeypatch: pytest.MonkeyPatch) -> As:
    """Puts somebody's token into the environment."""
    tokens: dict[str, str] = {}
    with open_library(where) as library:
        for login, role in STAFF.items():
            with library.work(THE_LIBRARY) as work:
                person = add_person(work, login, login.capitalize(), [role])
            with library.work(actor_of(person)) as work:
                tokens[login] = make_token(work, "test")[1]
    return lambda login: monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens[login])


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Typed:
    """What comes through the pipe: each word is a line."""
    return lambda keys: monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{key}\n" for key in keys.split("|"))))


@pytest.fixture
def stored(draft_with: Items, tmp_path: Path) -> Path:
    """A draft of a recording that is not there: it can be read, not heard."""
    return _stored(draft_with, tmp_path, "talk")


def _stored(draft_with: Items, folder: Path, subject: str) -> Path:
    draft = draft_with([CUE, DANGER, STEP]).model_copy(update={"subject": subject})
    path = folder / f"{subject}.draft.json"
    path.write_text(draft.to_json(), encoding="utf-8")
    return path


@pytest.fixture
def at_work(act_as: As, typed: Typed) -> tuple[As, Typed]:
    return act_as, typed


def decided(run: Run, act_as: As, typed: Typed, number: int = 1) -> None:
    for who, keys in (("runa", "c|c|c"), ("sven", "c")):
        act_as(who)
        typed(keys)
        assert run("review", number)[0] == 0


def test_a_visit_on_its_way(run: Run, act_as: As, typed: Typed, stored: Path) -> None:
    act_as("olin")
    assert run("add", stored, *ADD) == (0, "Draft 1 of visit 1: `vouchbook review 1`\n", "")
    assert run("add", stored, *ADD) == (0, "Draft 1 of visit 1 was there already.\n", "")
    assert "`vouchbook participants 1 --person" in run("add", stored, *ADD, "--person", "Dov=technician")[1]
    assert run("review")[1] == "   1  2031-03-01  Halden V2 2029 to 2031: 3 open\n"
    act_as("runa")
    typed("c|r|6|heard it otherwise|u|c|a|object=service plug||")
    code, out, _ = run("review", 1)
    assert code == 0
    assert "i2  DANGER: Never cut the orange cable (electric shock)" in out
    assert "Why danger: it kills" in out
    assert "Before i3" in out
    assert [line for line in out.splitlines() if line.startswith(("i1:", "i2:", "i3:"))] == [
        "i1: confirmed", "i2: waits for a second person", "i2: taken back", "i2: waits for a second person",
        "i3: amended",
    ]  # fmt: skip
    assert "1 left to decide." in out
    act_as("sven")
    typed("c")
    out = run("review", 1)[1]
    assert "confirmed by Runa; a second person is needed: it is a danger warning" in out
    assert "All is decided: `vouchbook publish 1`" in out
    act_as("alva")
    code, out, _ = run("publish", 1)
    assert (code, out.splitlines()[0]) == (0, "Edition 1 of Halden V2 2029 to 2031 is published as 1.")
    shown = run("publish", "--show", 1)[1]
    assert shown.index("DANGER: Never cut") < shown.index("step: Pull out service plug")
    assert "amended, object: {service} plug" in shown
    assert "Vouched for by Runa and Sven" in shown
    hit = run("find", "service", "plug", "is:confirmed")[1].splitlines()[0]
    assert hit.startswith("visit 1, Halden V2 2029 to 2031, ")
    assert hit.endswith("step, amended, edition 1 (published)")
    assert run("audit")[:2] == (0, run("audit", "verify")[1])


def test_the_next_edition_shows_what_it_changed(
    run: Run, act_as: As, typed: Typed, stored: Path, draft_with: Items, tmp_path: Path
) -> None:
    for number, path in ((1, stored), (2, _stored(draft_with, tmp_path, "again"))):
        act_as("olin")
        run("add", path, *ADD)
        if number == 2:
            assert run("diff", "--draft", 2)[1] == "Nothing stands against what is known.\n"
            act_as("runa")
            typed("a|text=a yellow badge faded||n|n|q")
            run("review", 2)
        decided(run, act_as, typed, number)
        act_as("alva")
        assert run("publish", number)[0] == 0
    expected = ["change cue: A yellow badge faded", "text: a yellow badge {faded}", "same   2 items"]
    assert [line.strip() for line in run("diff", 2)[1].splitlines()[1:]] == expected
    assert run("diff", 1, 2) == run("diff", 2)
    assert "is the first of" in run("diff", 1)[1]
    assert [line.split("  ")[-1] for line in run("publish")[1].splitlines()] == ["in force", "replaced"]
    code, out, _ = run("publish", "--withdraw", 2, "--reason", "the badge is yellow")
    assert (code, out.splitlines()[1]) == (0, "Edition 1 (1) is in force again.")
    assert run("publish", "--show", 2)[1].startswith("WITHDRAWN: the badge is yellow")


def test_what_is_due(run: Run, act_as: As, typed: Typed, stored: Path) -> None:
    act_as("olin")
    run("add", stored, *ADD)
    decided(run, act_as, typed)
    act_as("alva")
    run("publish", 1)
    assert run("due") == (0, "Nothing is due.\n", "")
    assert "Halden V2 2029 to 2031, edition 1" in run("due", "--on", "2199-01-01")[1]
    assert run("due", "--on", "tomorrow")[0] == 2


@pytest.mark.parametrize(
    ("person", "problem"),
    [
        pytest.param("Dov Almar", "no part is said", id="no-part"),
        pytest.param("Dov Almar=", "no part is said", id="an-empty-part"),
        pytest.param("Dov Almar==Dov", "no part is said", id="a-voice-alone"),
        pytest.param("Dov Almar=driver", "'driver' is no part", id="no-such-part"),
        pytest.param("=technician", "nobody is named", id="nobody"),
        pytest.param("", "nobody is named", id="nothing"),
    ],
)
def test_nobody_takes_part_as_what_nobody_said(run: Run, act_as: As, stored: Path, person: str, problem: str) -> None:
    act_as("olin")
    wanted = "NAME=PART or NAME=PART=VOICE, where PART is one of officer, technician, other"
    says = f"--person {person!r}: {problem}. Give {wanted}.\n"
    assert run("add", stored, *ADD, "--person", person) == (2, "", says)
    assert run("review")[1] == "No draft is on the table.\n"


def test_people_take_part_with_their_part_and_voice(run: Run, act_as: As, stored: Path) -> None:
    act_as("olin")
    people = ("Dov Almar = technician = Dov", "Ruta Venn=other")
    assert run("add", stored, *ADD, "--person", people[0], "--person", people[1])[0] == 0
    told = run("consent", "list", 1)[1]
    assert "Dov Almar (technician)" in told
    assert "Ruta Venn (other)" in told


def test_an_edition_is_verified_again(run: Run, act_as: As, typed: Typed, stored: Path) -> None:
    act_as("olin")
    run("add", stored, *ADD)
    decided(run, act_as, typed)
    act_as("alva")
    run("publish", 1)
    how = ("--how", "looked at the van at the depot")
    assert "does not verify it alone" in run("due", "--verified", 1, *how)[2]
    act_as("runa")
    assert "Say it, as in" in run("due", "--verified", 1)[2]
    code, out, _ = run("due", "--verified", 1, *how)
    assert (code, out.splitlines()[0].endswith("by Runa (looked at the van at the depot).")) == (0, True)
    told = "by Runa (looked at the van at the depot)"
    for command in (("due", "--on", "2199-01-01"), ("publish",), ("publish", "--show", 1)):
        assert told in run(*command)[1]
    assert [line.split("  ")[-1] for line in run("publish")[1].splitlines()] == ["in force"]
    act_as("sven")
    assert "somebody else verified it" in run("due", "--take-back", 1, "--reason", "no")[2]
    act_as("runa")
    assert run("due", "--take-back", 1)[0] == 2
    assert "taken back (the older model)" in run("due", "--take-back", 1, "--reason", "the older model")[1]
    assert told not in run("publish", "--show", 1)[1]
    assert run("audit")[0] == 0
    assert run("library", "check")[0] == 0


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        pytest.param("c|u|u|q", "Nothing was decided here yet.", id="nothing-to-take-back"),
        pytest.param("x|q", "Press one of c r a u n p h k q ?.", id="another-key"),
        pytest.param("?|q", "c confirm", id="help"),
        pytest.param("r|q|q", "3 open", id="no-reason-after-all"),
        pytest.param("r|6||q", 'the reason "other" needs a note', id="other-without-a-note"),
        pytest.param("a|size=3||q", "a cue has no size", id="a-field-that-it-has-not"),
        pytest.param("p|q", "there is no recording to hear it in", id="nothing-to-hear"),
        pytest.param("n|n|n", "3 open", id="later"),
    ],
)
def test_keys_of_the_review(run: Run, act_as: As, typed: Typed, stored: Path, keys: str, said: str) -> None:
    act_as("olin")
    run("add", stored, *ADD)
    act_as("runa")
    typed(keys)
    code, out, err = run("review", 1)
    assert (code, err) == (0, "")
    assert said in out


@pytest.fixture
def heard(draft_with: Items, tmp_path: Path) -> tuple[Path, Path]:
    """A draft and the recording that it was made of."""
    film = tmp_path / "van.ogg"
    film.write_bytes(b"a minute of talk")
    draft = draft_with([CUE, DANGER, STEP])
    source = draft.transcript.sources[0].model_copy(update={"sha256": sha256(film.read_bytes()).hexdigest()})
    path = tmp_path / "van.draft.json"
    talk = draft.transcript.model_copy(update={"sources": (source,)})
    path.write_text(draft.model_copy(update={"transcript": talk}).to_json(), encoding="utf-8")
    return path, film


@pytest.fixture
def plays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str, float], None]:
    """Puts a player on the path that runs a script and lasts so many seconds by the clock."""

    def put(script: str, lasts_s: float) -> None:
        path = tmp_path / "bin" / "ffplay"
        path.parent.mkdir()
        path.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
        path.chmod(0o755)
        monkeypatch.setenv("PATH", str(path.parent), prepend=os.pathsep)
        times = iter((100.0, 100.0 + lasts_s))
        monkeypatch.setattr("vouchbook.cli.player.monotonic", lambda: next(times))

    return put


@pytest.mark.parametrize(
    ("script", "lasts_s", "said"),
    [
        pytest.param("exit 0", 60.0, "i2: waits for a second person", id="played"),
        pytest.param("exit 0", 2.0, "not heard 0:52 to 0:59", id="stopped"),
        pytest.param("exit 1", 60.0, "could not play", id="cannot"),
    ],
)
def test_danger_is_played_before_it_is_decided(
    run: Run, table: Typed, plays: Callable[[str, float], None], script: str, lasts_s: float, said: str
) -> None:
    plays(script, lasts_s)
    table("c|c|p|c|q")
    out = run("review", 1)[1]
    assert "have not heard 0:50 to 0:59" in out
    assert said in out


@pytest.fixture
def table(run: Run, at_work: tuple[As, Typed], heard: tuple[Path, Path]) -> Typed:
    """A draft that can be heard, with a reviewer before it; what is typed is theirs."""
    act_as, typed = at_work
    act_as("olin")
    assert run("add", *heard, *ADD)[0] == 0
    act_as("runa")
    return typed


def test_what_was_changed_behind_its_back_is_found(
    run: Run, at_work: tuple[As, Typed], stored: Path, where: Path
) -> None:
    act_as, typed = at_work
    act_as("olin")
    run("add", stored, *ADD)
    decided(run, act_as, typed)
    kept = stored.with_name("heads.txt")
    kept.write_text(run("audit", "head")[1], encoding="utf-8")
    assert run("audit", "verify", "--kept", kept)[0] == 0
    assert "Runa confirmed item 1" in run("audit", "log", "--about", "item 1")[1]
    assert "added person 1 (ada)\n" in run("audit", "log", "--about", "person 1")[1]
    with open_library(where) as library, writer_of(library.engine).begin() as connection:
        connection.execute(text("UPDATE decision SET person_id = 4 WHERE item_id = 1"))
    code, out, err = run("audit")
    assert (code, err) == (1, "")
    assert out == "Draft 1, item i1: its decisions are not those that the journal tells of.\n"
    with open_library(where) as library, writer_of(library.engine).begin() as connection:
        connection.execute(text("DROP TRIGGER journal_keeps"))
        connection.execute(text("DELETE FROM journal WHERE seq = (SELECT max(seq) FROM journal)"))
    assert "a head of entry" in run("audit", "verify", "--kept", kept)[1]


def test_people_come_and_go(run: Run, where: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code, out, _ = run("people", "add", "ada", "--name", "Ada Orm", "--no-password")
    assert (code, out) == (0, "Added ada: administrator\n")
    with open_library(where) as library, library.work(ADA) as work:
        made = make_token(work, "test")[1]
    monkeypatch.setenv("VOUCHBOOK_TOKEN", made)
    assert run("people", "add", "bo", "--role", "reviewer", "--no-password")[1] == "Added bo: reviewer\n"
    assert run("people", "roles", "bo", "--role", "officer")[1] == "bo: officer\n"
    assert run("people", "leave", "bo")[1] == "bo: works here no more\n"
    assert run("people")[1].splitlines()[1].split() == ["bo", "bo", "officer", "(left)"]
    assert run("people", "return", "bo")[1] == "bo: works here\n"
    assert run("people", "token", "ada", "--name", "nightly")[1].startswith("vouchbook_")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        pytest.param(["review", 1], "nobody said who this is", id="nobody"),
        pytest.param(["review", 1, "--as", "runa"], "no terminal to ask for the password", id="no-terminal"),
        pytest.param(["people", "add"], "nobody was named", id="no-login"),
        pytest.param(["people", "roles", "runa"], "nobody said who this is", id="nobody-changes-roles"),
        pytest.param(["diff"], "give one edition", id="nothing-to-compare"),
        pytest.param(["diff", 1, "--draft", 1], "give one edition", id="both"),
        pytest.param(["publish", 1, "--show", 1], "three things", id="two-of-three"),
        pytest.param(["due", "--verified", 1, "--take-back", 1], "two things", id="verified-and-not"),
        pytest.param(["due", "--how", "seen"], "nobody said which edition", id="verified-nothing"),
        pytest.param(["due", "--verified", 7, "--how", "seen"], "nobody said who this is", id="verified-by-nobody"),
        pytest.param(["publish", "--show", 7], "edition 7: the library has none", id="no-such-edition"),
        pytest.param(["audit", "verify", "--kept", "nowhere"], "cannot be read", id="no-heads"),
        pytest.param(["add", "nowhere.draft.json"], "what kind of machine", id="no-kind"),
        pytest.param(["add", "nowhere.draft.json", "--kind", "van"], "cannot be read", id="no-draft"),
    ],
)
def test_what_cannot_be_done_ends_with_2(
    run: Run, at_work: tuple[As, Typed], arguments: list[object], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_work[1]("")
    monkeypatch.delenv("VOUCHBOOK_TOKEN", raising=False)
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert said in err


def test_a_library_that_is_not_there_is_made_by_its_first_person_alone(run: Run, where: Path) -> None:
    code, _, err = run("find", "plug")
    assert (code, where.exists()) == (2, False)
    assert "there is no library" in err


def test_what_says_the_same_in_other_words_is_found_once_it_was_learned(run: Run, act_as: As, stored: Path) -> None:
    act_as("olin")
    assert run("add", stored, *ADD)[0] == 0
    asked = ("find", "--meaning", "which", "wire", "is", "lethal")
    assert "are found by their words only, until `vouchbook library learn` has read them." in run(*asked)[1]
    code, out, _ = run("library", "learn")
    assert (code, out.endswith(" sentences read.\n")) == (0, True)
    assert run("library", "learn")[1] == "0 sentences read.\n"
    code, out, _ = run(*asked)
    assert code == 0
    assert "orange cable" in "\n".join(out.splitlines()[:2])


def test_the_first_person_without_a_terminal_is_told_to_use_one(run: Run, tmp_path: Path) -> None:
    code, out, err = run("people", "add", "bo", "--library", tmp_path / "new")
    assert (code, out) == (2, "")
    assert "Run this at a terminal." in err
    assert "token" not in err


def test_the_least_length_is_told_before_a_new_password_is_typed(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def prompt(text: str, **_: object) -> str:
        asked.append(text)
        return "some words in a row"

    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.prompt", prompt)
    assert run("people", "add", "bo", "--library", tmp_path / "new")[0] == 0
    assert asked == [f"New password of bo, at least {SHORTEST} characters"]
