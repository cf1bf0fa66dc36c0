from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Protocol

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.uploads.uploads import (
    KEPT_FOR,
    LARGEST,
    MOST_AT_ONCE,
    Upload,
    begin,
    drop,
    drop_expired,
    finish,
    path_of,
    receive,
    upload,
)
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.errors import ConflictError, LibraryError, NotAllowedError, NotFoundError, SettingError
from vouchbook.models.people import THE_LIBRARY, Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
FILM = bytes(range(256)) * 40
HASH = sha256(FILM).hexdigest()


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime


@pytest.fixture
def visit_id(library: Library, staff: Staff, visit: Visit) -> int:
    with library.work(staff["officer"]) as work:
        return add_visit(work, visit)


def look(library: Library, who: Actor, key: str) -> Upload:
    with library.reading() as session:
        return upload(session, who, key)


def test_a_file_that_arrives_in_parts_is_taken_in_whole(library: Library, staff: Staff, visit_id: int) -> None:
    officer = staff["officer"]
    begun = begin(library, officer, "C:\\films\\walk <b>round</b>.mp4", len(FILM))
    assert (begun.name, begun.received_bytes, begun.sha256) == ("b>.mp4", 0, None)
    for at in range(0, len(FILM), 3000):
        receive(library, officer, begun.key, at, FILM[at : at + 3000])
    done, stored = finish(library, officer, begun.key, HASH, visit_id, "recording")
    assert (done.sha256, stored.size_bytes) == (HASH, len(FILM))
    assert library.media.verify(HASH) is None
    assert not path_of(library, begun.key).exists()
    assert finish(library, officer, begun.key, HASH, visit_id, "recording") == (done, stored)


def test_it_goes_on_where_it_broke_after_a_restart(
    library: Library, staff: Staff, visit_id: int, where: str, media: Path
) -> None:
    """Bytes that were written and never acknowledged count nothing."""
    officer = staff["officer"]
    key = begin(library, officer, "film.mp4", len(FILM)).key
    receive(library, officer, key, 0, FILM[:5000])
    with path_of(library, key).open("ab") as file:
        file.write(b"half a part")
    with open_library(where, media=media, clock=library.clock) as again:
        at = look(again, officer, key).received_bytes
        assert at == 5000
        receive(again, officer, key, at, FILM[at:])
        assert finish(again, officer, key, HASH, visit_id, "recording")[1].sha256 == HASH


@pytest.mark.parametrize(
    ("offset", "part", "told"),
    [
        pytest.param(0, b"again", "byte 5000 is the next", id="sent-again"),
        pytest.param(6000, b"later", "byte 5000 is the next", id="a-gap"),
        pytest.param(5000, FILM, "the file has 10240 bytes", id="too-long"),
    ],
)
def test_a_part_that_does_not_follow_is_refused(
    library: Library, staff: Staff, offset: int, part: bytes, told: str
) -> None:
    key = begin(library, staff["officer"], "film.mp4", len(FILM)).key
    receive(library, staff["officer"], key, 0, FILM[:5000])
    with pytest.raises(ConflictError, match=told):
        receive(library, staff["officer"], key, offset, part)
    assert look(library, staff["officer"], key).received_bytes == 5000


def test_another_file_than_was_sent_is_not_taken_in(library: Library, staff: Staff, visit_id: int) -> None:
    officer = staff["officer"]
    key = begin(library, officer, "film.mp4", len(FILM)).key
    receive(library, officer, key, 0, FILM[:-1] + b"?")
    with pytest.raises(ConflictError, match="SHA-256 of what arrived is another"):
        finish(library, officer, key, HASH, visit_id, "recording")
    known = look(library, officer, key)
    assert (known.received_bytes, known.sha256) == (len(FILM), None)
    assert not library.media.path(HASH).exists()


def test_a_wrong_hash_costs_nothing_of_what_arrived(library: Library, staff: Staff, visit_id: int) -> None:
    officer = staff["officer"]
    key = begin(library, officer, "film.mp4", len(FILM)).key
    receive(library, officer, key, 0, FILM)
    with pytest.raises(ConflictError, match="finish with the right one"):
        finish(library, officer, key, "0" * 64, visit_id, "recording")
    assert finish(library, officer, key, HASH, visit_id, "recording")[1].sha256 == HASH


def test_a_part_of_a_file_is_not_taken_in(library: Library, staff: Staff, visit_id: int) -> None:
    key = begin(library, staff["officer"], "film.mp4", len(FILM)).key
    receive(library, staff["officer"], key, 0, FILM[:100])
    with pytest.raises(ConflictError, match="100 of 10240 bytes"):
        finish(library, staff["officer"], key, HASH, visit_id, "recording")


@pytest.mark.parametrize("key", ["../../../etc/passwd", "x" * 36, "", "0" * 36, "\0" * 36])
def test_a_key_is_never_a_path(library: Library, staff: Staff, key: str) -> None:
    with pytest.raises(NotFoundError):
        receive(library, staff["officer"], key, 0, b"x")
    assert [path for path in library.media.folder.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize("size_bytes", [0, -1, LARGEST + 1])
def test_a_file_has_a_size_that_can_be(library: Library, staff: Staff, size_bytes: int) -> None:
    with pytest.raises(SettingError):
        begin(library, staff["officer"], "film.mp4", size_bytes)


def test_nobody_sees_the_uploads_of_others(library: Library, staff: Staff) -> None:
    key = begin(library, staff["officer"], "film.mp4", 3).key
    for act in (lambda: look(library, staff["archivist"], key), lambda: drop(library, staff["archivist"], key)):
        with pytest.raises(NotFoundError):
            act()
    with pytest.raises(NotAllowedError):
        begin(library, staff["reviewer"], "film.mp4", 3)


def test_nobody_begins_without_end(library: Library, staff: Staff, clock: Wound) -> None:
    keys = [begin(library, staff["officer"], "film.mp4", 3).key for _ in range(MOST_AT_ONCE)]
    with pytest.raises(ConflictError, match="under way"):
        begin(library, staff["officer"], "film.mp4", 3)
    drop(library, staff["officer"], keys[0])
    receive(library, staff["officer"], keys[1], 0, b"ab")
    clock.at += KEPT_FOR
    assert drop_expired(library, THE_LIBRARY) == MOST_AT_ONCE - 1
    assert not path_of(library, keys[1]).exists()
    begin(library, staff["officer"], "film.mp4", 3)


@pytest.fixture(scope="module")
def one_library(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Library, Actor, int]]:
    with open_library(tmp_path_factory.mktemp("library")) as library:
        with library.work(THE_LIBRARY) as work:
            officer = add_person(work, "olin", "Olin", ["officer"])
        yield library, Actor(person=officer.id, login="olin", roles=officer.roles), 0


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.integers(-2, 12), st.binary(max_size=6)), max_size=12))
def test_whatever_is_sent_only_what_follows_is_kept(
    one_library: tuple[Library, Actor, int], parts: list[tuple[int, bytes]]
) -> None:
    library, officer, _ = one_library
    key = begin(library, officer, "film.mp4", 12).key
    kept = b""
    for offset, part in parts:
        try:
            receive(library, officer, key, offset, part)
            assert offset == len(kept)
            kept += part
        except LibraryError:
            assert offset != len(kept) or len(kept) + len(part) > 12
    assert not kept or path_of(library, key).read_bytes()[: len(kept)] == kept
    assert look(library, officer, key).received_bytes == len(kept)
    drop(library, officer, key)
