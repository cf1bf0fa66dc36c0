"""Archives of bags: what was packed comes out, and what somebody else made does no harm."""

import io
import shutil
import stat
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from tempfile import mkdtemp

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vouchbook.library.keeping import archive
from vouchbook.library.keeping.archive import look_into, pack, unpack
from vouchbook.models.errors import DocumentError, StoreError

Made = Callable[[zipfile.ZipFile], None]


@pytest.fixture
def bag(tmp_path: Path) -> Path:
    folder = tmp_path / "visit-1"
    (folder / "data" / "media" / "ab").mkdir(parents=True)
    (folder / "bagit.txt").write_bytes(b"BagIt-Version: 1.0\n")
    (folder / "data" / "media" / "ab" / "cd").write_bytes(bytes(range(256)) * 999)
    (folder / "data" / "empty.jsonl").write_bytes(b"")
    return folder


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def entry(name: str, kind: int = stat.S_IFREG) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name)
    info.external_attr = (kind | 0o600) << 16
    return info


def test_what_was_packed_comes_out_and_is_the_same_each_time(bag: Path, tmp_path: Path) -> None:
    first, second = pack(bag, tmp_path / "one.zip"), pack(bag, tmp_path / "two.zip")
    assert first.sha256 == second.sha256
    assert first.size_bytes == (tmp_path / "one.zip").stat().st_size
    assert (tmp_path / "one.zip").stat().st_mode & 0o077 == 0
    (tmp_path / "out").mkdir()
    with (tmp_path / "one.zip").open("rb") as file:
        look_into(file, "one.zip")
        out = unpack(file, "one.zip", tmp_path / "out")
    assert out.name == bag.name
    assert files(out) == files(bag)


def test_an_archive_in_the_large_form_comes_out_too(bag: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zipfile, "ZIP_FILECOUNT_LIMIT", 1)
    pack(bag, tmp_path / "one.zip")
    assert b"PK\x06\x06" in (tmp_path / "one.zip").read_bytes()
    (tmp_path / "out").mkdir()
    with (tmp_path / "one.zip").open("rb") as file:
        assert files(unpack(file, "one.zip", tmp_path / "out")) == files(bag)


def named(*names: str) -> Made:
    def make(held: zipfile.ZipFile) -> None:
        for name in names:
            held.writestr(entry(name), b"x")

    return make


def of_kind(kind: int) -> Made:
    return lambda held: held.writestr(entry("bag/data/walk", kind), b"/etc/passwd")


def bomb(held: zipfile.ZipFile) -> None:
    held.writestr(entry("bag/data/rows"), bytes(archive._ALWAYS_BYTES + (32 << 20)), zipfile.ZIP_DEFLATED)  # noqa: SLF001


HOSTILE = [
    pytest.param(named("../bag/data/x"), "a name that no bag", id="up"),
    pytest.param(named("bag/../../x"), "a name that no bag", id="up-in-the-middle"),
    pytest.param(named("/etc/x"), "a name that no bag", id="absolute"),
    pytest.param(named("C:/x"), "a name that no bag", id="a-drive"),
    pytest.param(named("bag\\..\\x"), "a name that no bag", id="backslash"),
    pytest.param(named("bag/.ssh/x"), "a name that no bag", id="hidden"),
    pytest.param(named("bag/x\ny"), "a name that no bag", id="line-end"),
    pytest.param(named("bag//x"), "a name that no bag", id="nothing-between"),
    pytest.param(named("bag/" + "x/" * 200 + "x"), "a name that no bag", id="too-long"),
    pytest.param(named("x"), "a name that no bag", id="no-folder"),
    pytest.param(named("bag/x", "bag/x"), "two files of one name", id="twice"),
    pytest.param(named("bag/x", "bag/X"), "two files of one name", id="twice-where-case-is-one"),
    pytest.param(named("bag/x", "gab/x"), "more than one folder", id="two-folders"),
    pytest.param(named("bag/"), "it holds nothing|a link or no plain", id="a-folder-alone"),
    pytest.param(named(), "it holds nothing", id="empty"),
    pytest.param(of_kind(stat.S_IFLNK), "a link or no plain file", id="link"),
    pytest.param(of_kind(stat.S_IFCHR), "a link or no plain file", id="device"),
    pytest.param(of_kind(stat.S_IFIFO), "a link or no plain file", id="pipe"),
    pytest.param(bomb, "would unpack to more than", id="bomb"),
    pytest.param(
        lambda held: held.writestr(entry("bag/x"), b"x" * 99, zipfile.ZIP_LZMA), "in a way that is not read", id="lzma"
    ),
]  # fmt: skip


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize(("make", "says"), HOSTILE)
def test_what_no_archive_of_ours_holds_is_refused_before_anything_is_written(
    tmp_path: Path, make: Made, says: str
) -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as held:
        make(held)
    out = tmp_path / "out"
    out.mkdir()
    with pytest.raises(DocumentError, match=says) as caught:
        look_into(file, "sent.zip")
    assert str(caught.value).startswith("sent.zip: ")
    assert "\n" not in str(caught.value)
    with pytest.raises(DocumentError, match=says):
        unpack(file, "sent.zip", out)
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["out"]


def plain() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as held:
        held.writestr(entry("bag/x"), b"as long as it is", zipfile.ZIP_DEFLATED)
    return file.getvalue()


def changed(content: bytes, sign: bytes, at: int, value: bytes) -> bytes:
    where = content.rindex(sign) + at
    return content[:where] + value + content[where + len(value) :]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        pytest.param(b"", "no ZIP archive", id="nothing"),
        pytest.param(b"not an archive" * 99, "no ZIP archive", id="something-else"),
        pytest.param(plain()[:-5], "no ZIP archive", id="cut-off"),
        pytest.param(changed(plain(), b"PK\5\6", 20, b"\5\0") + b"added", "no ZIP archive", id="a-comment"),
        pytest.param(changed(plain(), b"PK\5\6", 12, struct.pack("<L", 1 << 30)), "list is longer", id="a-long-list"),
        pytest.param(changed(plain(), b"PK\1\2", 24, struct.pack("<L", 4)), "is damaged", id="says-less-than-it-is"),
        pytest.param(changed(plain(), b"PK\1\2", 24, struct.pack("<L", 99)), "has not the length|is damaged",
                     id="says-more-than-it-is"),
        pytest.param(changed(plain(), b"PK\1\2", 16, b"\0\0\0\0"), "is damaged", id="another-checksum"),
        pytest.param(changed(plain(), b"PK\1\2", 8, b"\1\0"), "is encrypted", id="encrypted"),
        pytest.param(changed(plain(), b"PK\1\2", 42, struct.pack("<L", 9)), "is damaged", id="lies-elsewhere"),
    ],
)  # fmt: skip
def test_what_is_damaged_or_lies_is_refused(tmp_path: Path, content: bytes, says: str) -> None:
    with pytest.raises(DocumentError, match=says):
        unpack(io.BytesIO(content), "sent.zip", tmp_path)


def test_a_file_cannot_be_a_folder_too(tmp_path: Path) -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as held:
        named("bag/x", "bag/x/y")(held)
    with pytest.raises(DocumentError, match="a file and a folder"):
        unpack(file, "sent.zip", tmp_path)


def test_nothing_is_unpacked_where_there_is_no_room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: type("Full", (), {"free": 3}))
    with pytest.raises(StoreError, match="no room"):
        unpack(io.BytesIO(plain()), "sent.zip", tmp_path)
    assert list(tmp_path.iterdir()) == []


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(plain()) - 1), value=st.integers(0, 255), cut=st.integers(0, 9))
def test_whatever_is_changed_is_refused_or_does_no_harm(tmp_path: Path, at: int, value: int, cut: int) -> None:
    content = bytearray(plain())
    content[at] = value
    folder = Path(mkdtemp(dir=tmp_path))
    try:
        out = unpack(io.BytesIO(bytes(content[: len(content) - cut])), "sent.zip", folder)
    except DocumentError:
        pass
    else:
        assert list(files(out).values()) == [b"as long as it is"]
    assert all(path.resolve().is_relative_to(folder.resolve()) for path in folder.rglob("*"))
    assert all(path.is_dir() and path.name.startswith("tmp") for path in tmp_path.iterdir())
