"""What was left half made is swept when it is old, and never while somebody writes to it."""

import os
from pathlib import Path
from time import time

import pytest

from vouchbook.library.store.disk import OLD_S, sweep


def put(path: Path, age_s: float) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"half")
    return aged(path, age_s)


def aged(path: Path, age_s: float) -> Path:
    os.utime(path, (time() - age_s,) * 2, follow_symlinks=False)
    return path


@pytest.mark.parametrize(
    ("ages", "is_left"),
    [
        pytest.param({".": 2, "data": 2, "data/a": 2}, False, id="all-of-it-old"),
        pytest.param({".": 2, "data": 2, "data/a": 0.5}, True, id="a-file-that-grows"),
        pytest.param({".": 2, "data": 0.5, "data/a": 2}, True, id="something-came"),
        pytest.param({".": 0.5, "data": 2, "data/a": 2}, True, id="just-begun"),
        pytest.param({".": 2, "data": 2, "data/a": -9}, True, id="from-a-clock-that-ran-ahead"),
    ],
)
def test_a_folder_is_as_young_as_the_youngest_thing_in_it(
    tmp_path: Path, ages: dict[str, float], *, is_left: bool
) -> None:
    put(tmp_path / "bag" / "data" / "a", 0)
    for name, days in reversed(ages.items()):
        aged(tmp_path / "bag" / name, days * OLD_S)
    assert sweep(tmp_path.glob("*")) == int(not is_left)
    assert (tmp_path / "bag" / "data" / "a").exists() is is_left


def test_files_go_as_well_and_what_is_not_named_stays(tmp_path: Path) -> None:
    old, young = put(tmp_path / "old.zip", 2 * OLD_S), put(tmp_path / "young.zip", 0)
    other = put(tmp_path / "other.txt", 2 * OLD_S)
    assert sweep(tmp_path.glob("*.zip")) == 1
    assert [path.exists() for path in (old, young, other)] == [False, True, True]
    assert sweep([tmp_path / "nothing"]) == 0


def test_a_link_goes_and_not_what_it_leads_to(tmp_path: Path) -> None:
    elsewhere = put(tmp_path / "elsewhere" / "film.mp4", 2 * OLD_S)
    aged(elsewhere.parent, 2 * OLD_S)
    link = tmp_path / "link"
    link.symlink_to(elsewhere.parent)
    assert sweep([aged(link, 2 * OLD_S)]) == 1
    assert elsewhere.exists()
    assert not link.is_symlink()
