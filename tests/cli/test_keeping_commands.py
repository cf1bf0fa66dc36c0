"""Backup, restore, export, import and check through their front door."""

from collections.abc import Callable
from pathlib import Path

import pytest

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.people import THE_LIBRARY, Actor, actor_of
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Visit

Run = Callable[..., tuple[int, str, str]]
KEY = "0f5c6f0e-2a8e-4f57-9a35-0f7a3d6a1b11"


def keeper_of(library: Library, patch: pytest.MonkeyPatch) -> Actor:
    """Somebody who keeps the library, and whose token is where the commands look for it."""
    with library.work(THE_LIBRARY) as work:
        keeper = actor_of(add_person(work, "alva", "Alva", ["archivist", "administrator"]))
    with library.work(keeper) as work:
        patch.setenv("VOUCHBOOK_TOKEN", make_token(work, "test")[1])
    return keeper


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A library with one visit."""
    with open_library(tmp_path / "library") as library:
        keeper = keeper_of(library, monkeypatch)
        with library.work(keeper) as work:
            from datetime import date

            add_visit(work, Visit(key=KEY, subject=Subject(kind="loader"), held_on=date(2031, 3, 1)))
    return tmp_path / "library"


def test_a_backup_is_made_checked_and_restored(run: Run, place: Path, tmp_path: Path) -> None:
    code, out, err = run("backup", tmp_path / "backup", "--library", place)
    assert (code, err) == (0, "")
    told = out.splitlines()
    assert told[0] == f"{tmp_path / 'backup'}: 0 media copied, 0 were there."
    (tmp_path / "heads.txt").write_text(told[1] + "\n")
    code, out, _ = run("library", "check", "--library", tmp_path / "backup", "--kept", tmp_path / "heads.txt")
    assert (code, out.splitlines()[-1]) == (0, told[1])
    code, out, _ = run("restore", tmp_path / "backup", "--library", tmp_path / "restored")
    assert code == 0
    assert "WRONG" not in out
    code, _, err = run("restore", tmp_path / "backup", "--library", tmp_path / "restored")
    assert (code, "there is a library already" in err) == (2, True)


def test_what_is_wrong_has_exit_code_1(run: Run, place: Path, tmp_path: Path) -> None:
    (tmp_path / "heads.txt").write_text(f"vouchbook journal 2 {'a' * 64}\n")
    code, out, _ = run("library", "check", "--library", place, "--kept", tmp_path / "heads.txt")
    assert code == 1
    assert "WRONG  journal entries: " in out
    assert "Entry 2 is another than the one whose head was kept." in out


def test_a_whole_library_goes_by_bag(run: Run, place: Path, tmp_path: Path) -> None:
    code, out, _ = run("export", tmp_path / "bag", "--library", place)
    assert (code, out.splitlines()[0]) == (0, f"{tmp_path / 'bag'}: the whole library.")
    code, out, _ = run("import", tmp_path / "bag", "--library", tmp_path / "new")
    assert code == 0
    assert "rows and 0 media" in out
    code, out, _ = run("import", tmp_path / "bag", "--library", tmp_path / "new")
    assert (code, out) == (0, f"{tmp_path / 'bag'}: all of it was there, nothing changed.\n")


def test_a_visit_goes_by_bag(run: Run, place: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert (
        run("export", "--visit", 1, tmp_path / "same", "--library", place)[1] == f"{tmp_path / 'same'}: visit {KEY}.\n"
    )
    code, out, _ = run("export", "--visit", KEY, tmp_path / "bag", "--library", place)
    assert (code, out) == (0, f"{tmp_path / 'bag'}: visit {KEY}.\n")
    with open_library(tmp_path / "new") as library:
        keeper_of(library, monkeypatch)
    assert run("import", tmp_path / "bag", "--library", tmp_path / "new")[:2] == (
        0, f"{tmp_path / 'bag'}: visit {KEY}.\n",
    )  # fmt: skip
    assert run("import", tmp_path / "bag", "--library", tmp_path / "new")[:2] == (
        0, f"{tmp_path / 'bag'}: visit {KEY} was there, nothing changed.\n",
    )  # fmt: skip


def test_what_cannot_be_used_is_one_line_and_exit_code_2(run: Run, place: Path, tmp_path: Path) -> None:
    (tmp_path / "no bag").mkdir()
    for arguments, says in (
        (("import", tmp_path / "no bag"), "it has no bagit.txt"),
        (("import", tmp_path / "nowhere"), "it cannot be read"),
        (("restore", tmp_path / "nowhere"), "there is no backup"),
        (("export", "--visit", "0" * 8, tmp_path / "bag"), "the library has none with that key"),
        (("export", place), "something is there already"),
        (("library", "check", "--kept", tmp_path / "nowhere"), "Give the file with the heads"),
    ):
        code, _, err = run(*arguments, "--library", place)
        assert (code, err.count("\n"), says in err) == (2, 1, True), err


def test_who_said_nothing_exports_no_visit(
    run: Run, place: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("VOUCHBOOK_TOKEN")
    code, _, err = run("export", "--visit", KEY, tmp_path / "bag", "--library", place)
    assert (code, "nobody said who this is" in err) == (2, True)
