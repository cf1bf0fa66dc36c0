import errno
import os
from pathlib import Path

import pytest

from vouchbook.cli.files import check_folder, output_path, write_whole
from vouchbook.models.errors import SettingError


@pytest.mark.parametrize(
    ("source", "folder", "target"),
    [
        pytest.param("a/talk.wav", None, "a/talk.draft.json", id="beside"),
        pytest.param("a/talk.wav", "out", "out/talk.draft.json", id="in-a-folder"),
        pytest.param("talk.2026.wav", None, "talk.2026.draft.json", id="dots-in-the-name"),
        pytest.param("talk", None, "talk.draft.json", id="no-ending"),
    ],
)
def test_outputs_carry_the_name_of_the_first_file(source: str, folder: str | None, target: str) -> None:
    assert output_path(Path(source), Path(folder) if folder else None, ".draft.json") == Path(target)


def test_a_file_is_written_in_utf8_with_new_folders(tmp_path: Path) -> None:
    target = tmp_path / "new" / "er" / "draft.md"
    write_whole(target, "10 mm · “ü”\n")
    assert target.read_bytes() == "10 mm · “ü”\n".encode()
    assert list(target.parent.iterdir()) == [target]


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such rights")
def test_a_file_gets_the_rights_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("")
    write_whole(tmp_path / "whole", "")
    assert (tmp_path / "whole").stat().st_mode == (tmp_path / "plain").stat().st_mode


@pytest.mark.parametrize("failing", ["os.fsync", "pathlib.Path.replace"])
def test_a_full_disk_leaves_the_old_file_and_no_half_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    target = tmp_path / "draft.json"
    target.write_text("old", encoding="utf-8")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(failing, full)
    with pytest.raises(SettingError) as caught:
        write_whole(target, "new")
    monkeypatch.undo()
    remedy = "Make room, or give another folder with --out."
    assert str(caught.value) == f"{target}: cannot be written (No space left on device). {remedy}"
    assert target.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("")
    with pytest.raises(SettingError, match="cannot be written"):
        write_whole(tmp_path / "out" / "draft.json", "new")


def test_the_output_folder_is_made_and_a_missing_input_makes_none(tmp_path: Path) -> None:
    check_folder(tmp_path / "gone" / "talk.wav", None)
    assert list(tmp_path.iterdir()) == []
    check_folder(tmp_path / "gone" / "talk.wav", tmp_path / "out" / "drafts")
    assert (tmp_path / "out" / "drafts").is_dir()
    assert list((tmp_path / "out" / "drafts").iterdir()) == []


def test_a_folder_that_cannot_be_written_is_found_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(**_: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr("tempfile.TemporaryFile", full)
    with pytest.raises(SettingError, match=r"cannot be written \(Read-only file system\)\. Make room, or give"):
        check_folder(tmp_path / "talk.wav", None)
