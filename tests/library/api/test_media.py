from base64 import b64encode
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import update
from starlette.testclient import TestClient

from vouchbook.library.open import Library
from vouchbook.library.store.open import writer_of
from vouchbook.library.store.tables import MediumRow
from vouchbook.library.uploads.uploads import LONGEST_PART
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Clients = Callable[[str], TestClient]
FILM = bytes(range(256)) * 4
HASH = sha256(FILM).hexdigest()
TAG = f'"{HASH}"'
ADDRESS = f"/media/{HASH}"


@pytest.fixture
def visit_id(library: Library, staff: dict[str, Actor], visit: Visit) -> int:
    with library.work(staff["officer"]) as work:
        return add_visit(work, visit)


@pytest.fixture
def kept(library: Library, staff: dict[str, Actor], visit_id: int, tmp_path: Path) -> Callable[[str], None]:
    """Keeps the film under a name."""

    def under(name: str) -> None:
        (tmp_path / "file").write_bytes(FILM)
        stored = library.media.add(tmp_path / "file")
        with library.work(staff["officer"]) as work:
            attach(work, visit_id, stored, "recording", name)

    return under


@pytest.fixture
def film(kept: Callable[[str], None]) -> None:
    kept("walk.mp4")


@pytest.mark.parametrize(
    ("headers", "status", "body"),
    [
        pytest.param({}, 200, FILM, id="whole"),
        pytest.param({"range": "bytes=0-9"}, 206, FILM[:10], id="first-ten"),
        pytest.param({"range": "bytes=1000-"}, 206, FILM[1000:], id="from-there"),
        pytest.param({"range": "bytes=-24"}, 206, FILM[-24:], id="last"),
        pytest.param({"range": "bytes=1000-9999"}, 206, FILM[1000:], id="beyond-the-end"),
        pytest.param({"range": "bytes=5000-"}, 416, None, id="behind-the-end"),
        pytest.param({"range": "bytes=0-9", "if-range": TAG}, 206, FILM[:10], id="still-that-file"),
        pytest.param({"range": "bytes=0-9", "if-range": '"another"'}, 200, FILM, id="another-file-by-now"),
        pytest.param({"if-none-match": TAG}, 304, b"", id="known"),
        pytest.param({"if-none-match": f'"x", W/{TAG}'}, 304, b"", id="known-among-others"),
        pytest.param({"if-none-match": '"another"'}, 200, FILM, id="another-is-known"),
    ],
)
@pytest.mark.usefixtures("film")
def test_a_file_is_handed_out_in_parts(
    script: Clients, headers: dict[str, str], status: int, body: bytes | None
) -> None:
    answer = script("reviewer").get(ADDRESS, headers=headers)
    assert answer.status_code == status
    if body is not None:
        assert answer.content == body
        assert answer.headers["etag"] == TAG
    if status == 206:
        at = FILM.index(body or b"?") if headers["range"] != "bytes=-24" else len(FILM) - 24
        at = 1000 if headers["range"].startswith("bytes=1000") else at
        assert answer.headers["content-range"] == f"bytes {at}-{at + len(answer.content) - 1}/{len(FILM)}"
    if status == 416:
        assert answer.headers["content-range"] == f"bytes */{len(FILM)}"


@pytest.mark.usefixtures("film")
def test_several_ranges_come_as_parts(script: Clients) -> None:
    answer = script("reviewer").get(ADDRESS, headers={"range": "bytes=0-3, 100-103"})
    assert answer.status_code == 206
    kind, boundary = answer.headers["content-type"].split("; boundary=")
    assert kind == "multipart/byteranges"
    parts = answer.content.split(f"--{boundary}".encode())
    assert [part.split(b"\r\n\r\n")[-1].split(b"\r\n")[0].rstrip(b"\n") for part in parts[1:3]] == [
        FILM[:4], FILM[100:104]
    ]  # fmt: skip
    assert f"content-range: bytes 100-103/{len(FILM)}".encode() in parts[2].lower()


@pytest.mark.usefixtures("film")
def test_a_head_tells_the_length(script: Clients) -> None:
    answer = script("reviewer").head(ADDRESS)
    assert (answer.status_code, answer.content) == (200, b"")
    assert (answer.headers["content-length"], answer.headers["accept-ranges"]) == (str(len(FILM)), "bytes")


@pytest.mark.parametrize(
    ("name", "content_type", "disposition"),
    [
        ("walk.mp4", "video/mp4", "inline"),
        ("walk.wav", "audio/x-wav", "inline"),
        ("still.jpg", "image/jpeg", "inline"),
        ("page.html", "application/octet-stream", "attachment"),
        ("drawing.svg", "application/octet-stream", "attachment"),
        ("talk.vtt", "application/octet-stream", "attachment"),
        ("walk", "application/octet-stream", "attachment"),
    ],
)
def test_what_could_run_in_a_browser_is_only_saved(
    kept: Callable[[str], None], script: Clients, name: str, content_type: str, disposition: str
) -> None:
    kept(name)
    answer = script("reviewer").get(ADDRESS)
    assert answer.headers["content-type"] == content_type
    assert answer.headers["content-disposition"] == disposition
    assert answer.headers["content-security-policy"] == "sandbox; default-src 'none'"
    assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.usefixtures("film")
def test_what_was_removed_is_gone_and_what_is_lost_is_told(library: Library, script: Clients) -> None:
    library.media.remove(HASH)
    assert script("reviewer").get(ADDRESS).status_code == 404
    with writer_of(library.engine).begin() as connection:
        connection.execute(update(MediumRow).values(removed_at=library.clock(), removed_reason="consent withdrawn"))
    answer = script("reviewer").get(ADDRESS)
    assert answer.status_code == 410
    assert "consent withdrawn" in answer.json()["detail"]


def digest(part: bytes) -> str:
    return f"sha-256=:{b64encode(sha256(part).digest()).decode()}:"


def test_a_file_arrives_in_parts_and_goes_on_where_it_broke(visit_id: int, script: Clients) -> None:
    officer = script("officer")
    begun = officer.post("/uploads", json={"name": "walk.mp4", "size_bytes": len(FILM)})
    assert begun.status_code == 201
    address = begun.headers["location"].removeprefix("/api/v1")
    first = {"upload-offset": "0", "content-digest": digest(FILM[:500])}
    assert officer.patch(address, content=FILM[:500], headers=first).json()["received_bytes"] == 500
    assert officer.patch(address, content=FILM[:500], headers=first).status_code == 409
    damaged = {"upload-offset": "500", "content-digest": digest(b"as it was sent")}
    assert officer.patch(address, content=b"as it came", headers=damaged).status_code == 400
    at = officer.get(address).json()["received_bytes"]
    assert officer.patch(address, content=FILM[at:], headers={"upload-offset": str(at)}).status_code == 200
    whole = {"sha256": HASH, "visit_id": visit_id, "role": "recording"}
    assert officer.post(f"{address}/finish", json=whole | {"visit_id": 9}).status_code == 404
    assert officer.post(f"{address}/finish", json=whole).json()["sha256"] == HASH
    assert officer.post(f"{address}/finish", json=whole).status_code == 200
    assert script("reviewer").get(ADDRESS).content == FILM
    assert officer.get(f"/visits/{visit_id}").json()["media"][0]["name"] == "walk.mp4"
    assert officer.delete(address).status_code == 204
    assert officer.get(address).status_code == 404


def test_a_part_that_is_too_long_is_refused_however_it_comes(visit_id: int, script: Clients) -> None:
    del visit_id
    officer = script("officer")
    address = officer.post("/uploads", json={"name": "walk.mp4", "size_bytes": 2 * LONGEST_PART}).json()["key"]
    long = b"x" * (LONGEST_PART + 1)
    told = officer.patch(f"/uploads/{address}", content=long, headers={"upload-offset": "0"})
    untold = officer.patch(f"/uploads/{address}", content=iter([long[:-1], b"x"]), headers={"upload-offset": "0"})
    assert (told.status_code, untold.status_code) == (413, 413)
    assert told.json()["type"] == untold.json()["type"] == "/problems/too-large"
    assert officer.get(f"/uploads/{address}").json()["received_bytes"] == 0
