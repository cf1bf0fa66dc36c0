import errno
import io
import os
from hashlib import sha256
from pathlib import Path
from typing import IO

import pytest

from vouchbook.library.store.media import Media, plain_name
from vouchbook.models.errors import NotFoundError, StoreError

TALK = b"a recording of a talk" * 1000


@pytest.fixture
def media(tmp_path: Path) -> Media:
    return Media(tmp_path / "media")


def files(media: Media) -> list[Path]:
    return sorted(path for path in media.folder.rglob("*") if path.is_file())


def test_a_file_is_stored_once_under_its_hash(media: Media, tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_bytes(TALK)
    first, second = media.add(tmp_path / "a.mp4"), media.add(io.BytesIO(TALK))
    digest = sha256(TALK).hexdigest()
    assert first == second
    assert (first.sha256, first.size_bytes) == (digest, len(TALK))
    assert files(media) == [media.folder / digest[:2] / digest[2:]]
    with media.open(digest) as file:
        assert file.read() == TALK
    assert media.verify(digest, len(TALK)) is None


@pytest.mark.parametrize("at", [0, 7, len(TALK) - 1])
def test_one_flipped_bit_is_found_and_a_sound_copy_mends_it(media: Media, at: int) -> None:
    stored = media.add(io.BytesIO(TALK))
    path = media.path(stored.sha256)
    path.chmod(0o600)
    damaged = bytearray(TALK)
    damaged[at] ^= 1
    path.write_bytes(damaged)
    trouble = media.verify(stored.sha256, stored.size_bytes)
    assert trouble is not None
    assert trouble.kind == "damaged"
    assert [found.kind for found in media.troubles([(stored.sha256, stored.size_bytes)])] == ["damaged"]
    media.add(io.BytesIO(TALK))
    assert media.verify(stored.sha256, stored.size_bytes) is None


def test_what_is_missing_cut_short_or_nobodys_is_told(media: Media) -> None:
    gone, short, nobodys = (media.add(io.BytesIO(bytes([n]) * 500)) for n in range(3))
    media.remove(gone.sha256)
    media.path(short.sha256).chmod(0o600)
    os.truncate(media.path(short.sha256), 499)
    found = list(media.troubles([(gone.sha256, 500), (short.sha256, 500)]))
    assert [(one.sha256, one.kind) for one in found] == [
        (gone.sha256, "missing"), (short.sha256, "damaged"), (nobodys.sha256, "unknown"),
    ]  # fmt: skip
    assert "499 bytes where 500 were stored" in found[1].sentence


@pytest.mark.parametrize(
    "name",
    ["", "..", "../../../etc/passwd", "a" * 63, "A" * 64, "a" * 64 + "\n", "a" * 65, "/" + "a" * 63, "aa/" + "a" * 61],
)
def test_what_is_no_hash_never_becomes_a_path(media: Media, name: str) -> None:
    with pytest.raises(NotFoundError, match="no SHA-256") as caught:
        media.open(name)
    assert "\n" not in str(caught.value)


def test_a_hash_that_is_not_there_is_told(media: Media) -> None:
    with pytest.raises(NotFoundError, match="not in the media folder"):
        media.open("a" * 64)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("talk.mp4", "talk.mp4"),
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\olin\\talk.mp4", "talk.mp4"),
        ("talk\x00.mp4\r\n", "talk.mp4"),
        ("talk\u202e4pm.exe", "talk4pm.exe"),
        ("<script>alert(1)<b>.mp4", "<script>alert(1)<b>.mp4"),
        ("..", ".."),
        ("/", "unnamed"),
        ("\x1b[2J", "[2J"),
        ("a" * 5000, "a" * 200),
    ],
)
def test_a_name_is_shown_without_what_could_trick_the_eye(name: str, shown: str) -> None:
    assert plain_name(name) == shown


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_a_full_disk_leaves_nothing_half_written(media: Media, monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    def full(_file: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreError, match="the disk is full"):
        media.add(io.BytesIO(TALK))
    assert files(media) == []
    monkeypatch.undo()
    assert media.verify(media.add(io.BytesIO(TALK)).sha256) is None


def test_a_source_that_breaks_off_leaves_nothing(media: Media) -> None:
    class Breaks(io.BytesIO):
        def read(self, _size: int | None = -1) -> bytes:
            if self.tell():
                raise OSError(errno.EIO, "cannot be read")
            self.seek(1)
            return b"half"

    source: IO[bytes] = Breaks(TALK)
    with pytest.raises(OSError, match="cannot be read"):
        media.add(source)
    assert files(media) == []


def test_what_an_interruption_left_is_swept_after_a_day(media: Media) -> None:
    media.add(io.BytesIO(TALK))
    old, fresh = media.folder / "arriving" / "old", media.folder / "arriving" / "fresh"
    for path in (old, fresh):
        path.write_bytes(b"half")
    os.utime(old, (0, 0))
    assert media.sweep() == 1
    assert not old.exists()
    assert fresh.exists()
    assert len(files(media)) == 2
