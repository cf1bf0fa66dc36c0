"""Speech weights are put together once, checked, and never fetched."""

import json
import os
import shutil
from pathlib import Path

import pytest

from vouchbook.extract.listen import weights
from vouchbook.extract.listen.weights import PACKAGED, PackagedModel, find_model, verify
from vouchbook.models.errors import ModelError

pytestmark = pytest.mark.sound


@pytest.mark.parametrize("name", sorted(PACKAGED))
def test_each_packaged_model_is_whole(name: str, data_folder: Path) -> None:
    model = find_model(name, data_folder)
    verify(model)
    assert sorted(path.name for path in model.folder.iterdir()) == [
        "config.json", "model.bin", "tokenizer.json", "verified.json", "vocabulary.txt",
    ]  # fmt: skip
    assert model.english_only == name.endswith(".en")


def test_the_second_call_writes_nothing(data_folder: Path) -> None:
    before = (find_model("tiny.en", data_folder).folder / "model.bin").stat().st_mtime_ns
    assert (find_model("tiny.en", data_folder).folder / "model.bin").stat().st_mtime_ns == before


def test_a_damaged_model_is_made_again(data_folder: Path) -> None:
    model = find_model("tiny.en", data_folder)
    with (model.folder / "model.bin").open("r+b") as file:
        file.write(b"damage")
    os.utime(model.folder / "model.bin", ns=(1, 1))
    verify(find_model("tiny.en", data_folder))


def test_a_full_check_finds_damage_that_keeps_size_and_time(data_folder: Path, tmp_path: Path) -> None:
    model = find_model("tiny.en", data_folder)
    folder = tmp_path / "copy"
    shutil.copytree(model.folder, folder)
    with (folder / "tokenizer.json").open("r+b") as file:
        file.write(b"damage")
    with pytest.raises(ModelError, match=r"not the file that belongs to speech model tiny\.en\. Delete the folder"):
        verify(model.model_copy(update={"folder": folder}))


def _changed(monkeypatch: pytest.MonkeyPatch, **changes: str) -> None:
    """Let "tiny.en" come from a package, path or hash that is not right."""
    tiny = PACKAGED["tiny.en"]
    file = tiny.files["config.json"]
    part = file.parts[0].model_copy(update={k: v for k, v in changes.items() if k != "sha256"})
    file = file.model_copy(update={"parts": (part,), "sha256": changes.get("sha256", file.sha256)})
    changed = PackagedModel(name="tiny.en", english_only=True, files={**tiny.files, "config.json": file})
    monkeypatch.setattr(weights, "PACKAGED", {"tiny.en": changed})


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        pytest.param(
            {"distribution": "vouchbook-no-such-weights"},
            "package vouchbook-no-such-weights is missing",
            id="not-installed",
        ),
        pytest.param({"path": "nowhere/config.json"}, "is missing or incomplete", id="incomplete"),
        pytest.param({"sha256": "0" * 64}, "config.json of speech model tiny.en has the wrong hash", id="wrong-hash"),
    ],
)
def test_weights_that_are_not_right_are_refused_and_leave_nothing(
    changes: dict[str, str], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _changed(monkeypatch, **changes)
    with pytest.raises(ModelError, match=message):
        find_model("tiny.en", tmp_path)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_a_data_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(ModelError, match=r"cannot be put there .* VOUCHBOOK_DATA"):
        find_model("tiny.en", tmp_path / "file")


def test_a_folder_of_a_users_own_model_is_taken(data_folder: Path, tmp_path: Path) -> None:
    folder = tmp_path / "own"
    shutil.copytree(find_model("tiny.en", data_folder).folder, folder)
    model = find_model(str(folder))
    assert (model.folder, model.english_only) == (folder, True)
    changed = folder / "model.bin"
    os.utime(changed, ns=(5, 5))
    assert find_model(str(folder)).identity != model.identity


@pytest.mark.parametrize(
    ("name", "message"),
    [
        pytest.param("tiny.fr", r"tiny\.fr: no such speech model\. Give base, tiny\.en, or the folder", id="unknown"),
        pytest.param("{folder}", "holds no model.bin", id="folder-without-weights"),
        pytest.param("{folder}/config.json", "is not a folder", id="a-file"),
    ],
)
def test_what_is_no_model_is_refused(name: str, message: str, tmp_path: Path) -> None:
    (tmp_path / "config.json").write_text(json.dumps({}), encoding="utf-8")
    with pytest.raises(ModelError, match=message):
        find_model(name.format(folder=tmp_path))
