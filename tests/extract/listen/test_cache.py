"""What was heard is kept, and what is damaged is heard again."""

from pathlib import Path

import pytest

from vouchbook.extract.listen.cache import HearingCache
from vouchbook.extract.listen.heard import HeardWord

SHA = "a" * 64
WORD = HeardWord(text="Isolate", start_s=1, end_s=2, probability=0.5)


def cache(folder: Path | None, **way: object) -> HearingCache:
    return HearingCache(folder, SHA, way)


def test_what_was_stored_comes_back(tmp_path: Path) -> None:
    cache(tmp_path, beam=5).store(16_000, WORD)
    assert cache(tmp_path, beam=5).load(16_000, HeardWord) == WORD


def test_other_settings_another_place_or_no_folder_find_nothing(tmp_path: Path) -> None:
    cache(tmp_path, beam=5).store(0, WORD)
    assert cache(tmp_path, beam=1).load(0, HeardWord) is None
    assert cache(tmp_path, beam=5).load(1, HeardWord) is None
    assert cache(None, beam=5).load(0, HeardWord) is None


@pytest.mark.parametrize(
    "damage",
    [
        pytest.param(lambda stored: stored[:-9], id="cut-off"),
        pytest.param(lambda stored: stored.replace(b"Isolate", b"Ignite!"), id="another-word"),
        pytest.param(lambda _: b"", id="empty"),
        pytest.param(lambda _: b"\xff\xfe\x00", id="not-text"),
    ],
)
def test_a_damaged_entry_is_not_believed(damage: object, tmp_path: Path) -> None:
    assert callable(damage)
    kept = cache(tmp_path)
    kept.store(0, WORD)
    (path,) = tmp_path.rglob("*.json")
    path.write_bytes(damage(path.read_bytes()))
    assert kept.load(0, HeardWord) is None
    kept.store(0, WORD)
    assert kept.load(0, HeardWord) == WORD


def test_nothing_half_written_is_left(tmp_path: Path) -> None:
    cache(tmp_path).store(0, WORD)
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == ["000000000000.json"]


def test_a_folder_that_cannot_be_written_is_said_and_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    kept = cache(tmp_path / "file")
    kept.store(0, WORD)
    assert kept.failed
