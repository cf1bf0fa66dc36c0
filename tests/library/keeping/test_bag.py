"""What a bag is, by RFC 8493, and what is refused because no bag of ours is like that."""

import os
import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import date
from hashlib import sha256
from itertools import count
from pathlib import Path

import bagit
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.keeping.bag import info_of, new_bag
from vouchbook.library.keeping.unbag import verified
from vouchbook.models.errors import DocumentError, StoreError

MEDIUM = b"a recording" * 500
HASH = sha256(MEDIUM).hexdigest()
FILES = (
    "bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt", "data/tables/visit.jsonl",
    f"data/media/{HASH[:2]}/{HASH[2:]}",
)  # fmt: skip
Spoil = Callable[[Path], None]


@pytest.fixture
def bag(tmp_path: Path) -> Path:
    (tmp_path / "medium").write_bytes(MEDIUM)
    with new_bag(tmp_path / "bag") as made:
        made.lines("tables/visit.jsonl", [b'{"id":1}', b'{"id":2}'])
        made.medium(tmp_path / "medium", HASH, links=False)
        made.close(info_of("a test", "visit 7", date(2031, 3, 4)))
    return tmp_path / "bag"


def test_a_bag_is_what_the_standard_says(bag: Path) -> None:
    """RFC 8493, sections 2.1 (required), 2.2.1 and 2.2.2 (tag manifest and bag-info.txt)."""
    assert (bag / "bagit.txt").read_bytes() == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    files = {path.relative_to(bag).as_posix() for path in bag.rglob("*") if path.is_file()}
    assert files == set(FILES)
    rows = sha256(b'{"id":1}\n{"id":2}\n').hexdigest()
    assert (bag / "manifest-sha256.txt").read_text() == f"{HASH}  {FILES[5]}\n{rows}  {FILES[4]}\n"
    info = (bag / "bag-info.txt").read_text().splitlines()
    assert "Bagging-Date: 2031-03-04" in info
    assert f"Payload-Oxum: {len(MEDIUM) + 18}.2" in info
    assert verified(bag).info["External-Identifier"] == "visit 7"


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not on this machine")
@pytest.mark.parametrize("manifest", ["manifest-sha256.txt", "tagmanifest-sha256.txt"])
def test_another_tool_verifies_its_manifests(bag: Path, manifest: str) -> None:
    done = subprocess.run(["sha256sum", "--check", "--strict", manifest], cwd=bag, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_library_that_wrote_the_standard_down_finds_it_valid(bag: Path) -> None:
    assert bagit.Bag(str(bag)).is_valid()
    (bag / "data" / "tables" / "visit.jsonl").write_bytes(b"{}")
    assert not bagit.Bag(str(bag)).is_valid()


def change(name: str, old: bytes, new: bytes) -> Spoil:
    def spoil(bag: Path) -> None:
        content = (bag / name).read_bytes()
        assert old in content
        (bag / name).write_bytes(content.replace(old, new, 1))

    return spoil


def seal(bag: Path) -> None:
    """Makes the list of tags fit again, as somebody who changed one can."""
    names = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
    told = "".join(f"{sha256((bag / name).read_bytes()).hexdigest()}  {name}\n" for name in names)
    (bag / "tagmanifest-sha256.txt").write_text(told)


def lists(path: str) -> Spoil:
    def spoil(bag: Path) -> None:
        with (bag / "manifest-sha256.txt").open("a", encoding="utf-8", newline="") as file:
            file.write(f"{'0' * 64}  {path}\n")
        seal(bag)

    return spoil


def link(bag: Path) -> None:
    medium = bag / "data" / "media" / HASH[:2] / HASH[2:]
    medium.rename(bag.parent / "elsewhere")
    medium.symlink_to(bag.parent / "elsewhere")


def linked_folder(bag: Path) -> None:
    (bag / "data" / "media").rename(bag.parent / "elsewhere")
    (bag / "data" / "media").symlink_to(bag.parent / "elsewhere", target_is_directory=True)


def pipe(bag: Path) -> None:
    os.mkfifo(bag / "data" / "pipe")


def without(name: str) -> Spoil:
    return lambda bag: (bag / name).unlink()


def more(name: str) -> Spoil:
    def spoil(bag: Path) -> None:
        (bag / name).write_bytes(b"more")

    return spoil


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (change("data/tables/visit.jsonl", b'"id":2', b'"id":3'), "visit.jsonl is damaged"),
        (change("bag-info.txt", b"2031", b"2032"), "bag-info.txt is damaged"),
        (change("manifest-sha256.txt", HASH.encode(), b"0" * 64), "manifest-sha256.txt is damaged"),
        (change("bagit.txt", b"1.0", b"9.0"), "does not say that it is a bag"),
        (change("bagit.txt", b"UTF-8", b"UTF-16"), "does not say that it is a bag"),
        (without("data/tables/visit.jsonl"), "incomplete: 'data/tables/visit.jsonl' is missing"),
        (without("bagit.txt"), "it has no bagit.txt"),
        (without("manifest-sha256.txt"), "it has no manifest-sha256.txt"),
        (without("tagmanifest-sha256.txt"), "it has no tagmanifest-sha256.txt"),
        (more("data/more"), "'data/more' is in no list"),
        (more("manifest-md5.txt"), "'manifest-md5.txt' is in no list"),
        (more("fetch.txt"), "fetch.txt lists files that are elsewhere"),
        (link, "is a link or no plain file"),
        (linked_folder, "is a link or no plain file"),
        (pipe, "is a link or no plain file"),
        (lists("data/../../etc/passwd"), "a name that no bag of ours has"),
        (lists("../elsewhere"), "a name that no bag of ours has"),
        (lists("/etc/passwd"), "a name that no bag of ours has"),
        (lists("data//etc/passwd"), "a name that no bag of ours has"),
        (lists("data/a%0Ab"), "a name that no bag of ours has"),
        (lists("data/a%2e%2e"), "a name that no bag of ours has"),
        (lists("data\\..\\evil"), "a name that no bag of ours has"),
        (lists("C:/evil"), "a name that no bag of ours has"),
        (lists("~/evil"), "a name that no bag of ours has"),
        (lists("data/.hidden"), "a name that no bag of ours has"),
        (lists("data/<script>"), "a name that no bag of ours has"),
        (lists("data/na\u0457ve"), "a name that no bag of ours has"),
        (lists("elsewhere"), "'elsewhere' lies outside of data/"),
        (lists("bagit.txt"), "'bagit.txt' lies outside of data/"),
        (lists("data/tables/visit.jsonl"), "twice"),
        (lists("data/tables/Visit.jsonl"), "incomplete"),
        (lists(""), "a line that is none"),
        (lists("data/a\x1b[2J"), "a name that no bag of ours has"),
        (change("manifest-sha256.txt", b"data", b"\xff\xfe"), "no UTF-8"),
        (shutil.rmtree, "cannot be read"),
    ],
    ids=map(str, count(1)),
)
def test_what_is_no_sound_bag_is_refused_in_one_line(bag: Path, spoil: Spoil, says: str) -> None:
    spoil(bag)
    with pytest.raises(DocumentError, match=re.escape(says)) as caught:
        verified(bag)
    assert str(caught.value).isprintable()


@given(at=st.integers(0, 10**6), bit=st.integers(0, 7), name=st.sampled_from(FILES))
def test_no_flipped_bit_goes_unseen(tmp_path_factory: pytest.TempPathFactory, at: int, bit: int, name: str) -> None:
    """But one that only makes a letter of a hash large, which is the same hash."""
    folder = tmp_path_factory.mktemp("flipped")
    (folder / "medium").write_bytes(MEDIUM)
    with new_bag(folder / "bag") as made:
        made.lines("tables/visit.jsonl", [b'{"id":1}'])
        made.medium(folder / "medium", HASH, links=False)
        made.close(info_of("a test", "visit 7", date(2031, 3, 4)))
    content = bytearray((folder / "bag" / name).read_bytes())
    before = bytes(content)
    content[at % len(content)] ^= 1 << bit
    (folder / "bag" / name).write_bytes(content)
    if name == "tagmanifest-sha256.txt" and bytes(content).lower() == before.lower():
        return
    with pytest.raises(DocumentError):
        verified(folder / "bag")


def test_an_interruption_leaves_no_bag_and_the_next_one_none_of_its_rests(tmp_path: Path) -> None:
    (tmp_path / "bag.unfinished" / "data").mkdir(parents=True)
    (tmp_path / "bag.unfinished" / "data" / "old").write_bytes(b"half")

    def stop() -> None:
        with new_bag(tmp_path / "bag") as made:
            made.lines("a", [b"half"])
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stop()
    assert list(tmp_path.iterdir()) == []


def test_where_something_is_no_bag_is_made(bag: Path) -> None:
    with pytest.raises(StoreError, match="something is there already"), new_bag(bag):
        raise AssertionError("not reached")


def test_a_folder_that_may_not_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(StoreError, match="cannot be written"), new_bag(tmp_path / "file" / "bag"):
        raise AssertionError("not reached")
