"""Check, backups, exports and imports over HTTP; the tests do the tasks themselves."""

import io
import zipfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from httpx2 import Response
from starlette.testclient import TestClient

from vouchbook.api.app import make_app
from vouchbook.api.settings import PREFIX, ServerSettings
from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.archive import unpack
from vouchbook.library.keeping.unbag import verified
from vouchbook.library.keeping.whole import is_whole
from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.queue.kinds import kinds_of
from vouchbook.library.queue.run import do_next
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft
from vouchbook.models.people import THE_LIBRARY, Actor, Role, actor_of
from vouchbook.models.visits import Visit

Clients = Callable[[str], TestClient]
Done = Callable[[Response], dict[str, Any]]
FILM = b"the bytes of the recording" * 99


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "exports"


@pytest.fixture
def app(library: Library, folder: Path) -> FastAPI:
    return make_app(library, ServerSettings(hosts=("testserver",), exports=folder))


@pytest.fixture
def visit_id(library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft, tmp_path: Path) -> int:
    (tmp_path / "walk.mp4").write_bytes(FILM)
    return bring(library, staff["officer"], visit, draft, [File(path=tmp_path / "walk.mp4", role="recording")]).visit_id


@pytest.fixture
def done(library: Library, folder: Path, script: Clients) -> Done:
    """Does the task that was asked for; gives it as it is then."""

    def do(asked: Response) -> dict[str, Any]:
        assert asked.status_code == 202, asked.text
        assert do_next(library, "one", asked.json()["id"], kinds_of(folder))
        task: dict[str, Any] = script("officer").get(f"/tasks/{asked.json()['id']}").json()
        return task

    return do


def client_of(library: Library, exports: Path, *roles: Role) -> TestClient:
    """A script of somebody with these roles at another library."""
    with library.work(THE_LIBRARY) as work:
        actor = actor_of(add_person(work, "kira", "Kira", roles))
    with library.work(actor) as work:
        secret = make_token(work, "test")[1]
    app = make_app(library, ServerSettings(hosts=("testserver",), exports=exports))
    return TestClient(app, base_url=f"http://testserver{PREFIX}", headers={"authorization": f"Bearer {secret}"})


def sent(client: TestClient, content: bytes, name: str = "visit.zip") -> str:
    """Sends a file in parts; gives the address of the upload."""
    begun = client.post("/uploads", json={"name": name, "size_bytes": len(content)})
    address: str = begun.headers["location"].removeprefix(PREFIX)
    half = len(content) // 2
    for at, part in ((0, content[:half]), (half, content[half:])):
        assert client.patch(address, content=part, headers={"upload-offset": str(at)}).status_code == 200
    return address


def of(content: bytes) -> dict[str, str]:
    return {"sha256": sha256(content).hexdigest()}


def test_everything_is_checked(script: Clients, library: Library, visit_id: int, done: Done) -> None:
    keeper = script("archivist")
    assert visit_id == 1
    assert script("officer").post("/tasks/check", json={}).status_code == 403
    assert keeper.post("/tasks/check", json={"heads": ["no head"]}).status_code == 422
    line = keeper.get("/audit/head").json()["line"]
    result = done(keeper.post("/tasks/check", json={"heads": [line]}))["result"]
    assert result["is_sound"] is True
    assert {one["what"]: one["looked_at"] for one in result["findings"]}["media"] == 1
    path = library.media.path(sha256(FILM).hexdigest())
    path.chmod(0o600)
    path.write_bytes(FILM[:-1])
    wrong = f"vouchbook journal 2 {'a' * 64}"
    result = done(keeper.post("/tasks/check", json={"heads": [wrong]}))["result"]
    assert result["is_sound"] is False
    assert sorted(one["what"] for one in result["findings"] if one["wrong"]) == ["journal entries", "media"]


def test_a_backup_stays_on_the_server_and_can_be_opened(
    script: Clients, library: Library, folder: Path, visit_id: int, done: Done, where: str
) -> None:
    assert visit_id == 1
    assert script("archivist").post("/backups").status_code == 403
    ada = script("administrator")
    first = ada.post("/backups")
    assert ada.post("/backups").json()["id"] == first.json()["id"]
    result = done(first)["result"]
    assert result["copied"] == 1
    backup = folder / result["name"]
    if "://" in where:
        assert is_whole(verified(backup))
    else:
        with open_library(backup, may_make=False) as copy, copy.reading() as session:
            assert verify(session) is None
    again = done(ada.post("/backups"))["result"]
    assert again["name"] == result["name"]
    assert [path.name for path in folder.iterdir()] == [backup.name], "one backup, on both databases"
    with library.reading() as session:
        assert [entry.act for entry in entries(session)].count("backed up") == 2
    assert ada.get("/exports").json() == []


def test_an_export_is_fetched_whole_in_parts_and_deleted(
    script: Clients, folder: Path, visit_id: int, done: Done, library: Library, tmp_path: Path
) -> None:
    keeper = script("archivist")
    task = done(keeper.post("/exports", json={"visit_id": visit_id}))
    (listed,) = keeper.get("/exports").json()
    assert {name: listed[name] for name in task["result"]} == task["result"]
    assert (listed["made_by"], listed["made_at"]) == (task["person"], task["finished_at"])
    address, tag = f"/exports/{listed['name']}", f'"{listed["sha256"]}"'
    answer = keeper.get(address)
    assert (answer.headers["etag"], answer.headers["content-type"]) == (tag, "application/zip")
    assert answer.headers["content-disposition"] == f'attachment; filename="{listed["name"]}"'
    assert of(answer.content)["sha256"] == listed["sha256"]
    assert keeper.get(address, headers={"range": "bytes=10-19"}).content == answer.content[10:20]
    assert keeper.get(address, headers={"range": f"bytes={len(answer.content)}-"}).status_code == 416
    assert keeper.head(address).headers["content-length"] == str(listed["size_bytes"])
    assert keeper.get(address, headers={"if-none-match": tag}).status_code == 304
    (tmp_path / "out").mkdir()
    assert "visit.json" in verified(unpack(io.BytesIO(answer.content), "visit", tmp_path / "out")).payload
    for part in ("officer", "reviewer"):
        assert script(part).get("/exports").status_code == 403
        assert script(part).get(address).status_code == 403
        assert script(part).delete(address).status_code == 403
    assert keeper.delete(address).status_code == 204
    assert keeper.get(address).status_code == 404
    assert [path.name for path in folder.rglob("*")] == [".making"]
    with library.reading() as session:
        acts = [entry.act for entry in entries(session) if "export" in entry.act]
        assert acts == ["exported", "deleted an export"]
        assert verify(session) is None


def test_a_whole_library_is_for_an_administrator(script: Clients, visit_id: int, done: Done, tmp_path: Path) -> None:
    assert visit_id == 1
    keeper, ada = script("archivist"), script("administrator")
    assert keeper.post("/exports", json={}).status_code == 403
    name = done(ada.post("/exports", json={}))["result"]["name"]
    assert [one["visit"] for one in keeper.get("/exports").json()] == [None]
    assert keeper.get(f"/exports/{name}").status_code == 403
    assert keeper.delete(f"/exports/{name}").status_code == 403
    (tmp_path / "out").mkdir()
    assert is_whole(verified(unpack(io.BytesIO(ada.get(f"/exports/{name}").content), "whole", tmp_path / "out")))


@pytest.mark.parametrize(
    "name",
    ["library-0000000000000000.zip", "..%2fwalk.mp4", "..", ".making", "backup", "visit-0000000000000000.zip%00"],
)
def test_a_name_that_no_task_gave_is_not_looked_for(script: Clients, folder: Path, name: str) -> None:
    folder.mkdir()
    (folder / "library-0000000000000000.zip").write_bytes(b"not ours")
    ada = script("administrator")
    assert ada.get(f"/exports/{name}").status_code in (400, 404, 422)
    assert ada.delete(f"/exports/{name}").status_code in (400, 404, 405, 422)
    assert (folder / "library-0000000000000000.zip").exists()


def test_a_server_without_a_folder_says_so(library: Library, tmp_path: Path) -> None:
    client = client_of(library, tmp_path, "administrator", "archivist")
    client.app.state.settings = ServerSettings(hosts=("testserver",))  # type: ignore[attr-defined]
    for method, address in (("POST", "/backups"), ("POST", "/exports"), ("GET", "/exports")):
        answer = client.request(method, address, json={} if method == "POST" else None)
        assert (answer.status_code, "--exports FOLDER" in answer.json()["detail"]) == (409, True)


def test_a_visit_goes_to_another_library_and_comes_once(
    script: Clients, visit_id: int, done: Done, other: Library, folder: Path
) -> None:
    keeper = script("archivist")
    name = done(keeper.post("/exports", json={"visit_id": visit_id}))["result"]["name"]
    content = keeper.get(f"/exports/{name}").content
    kira = client_of(other, folder, "archivist")
    for is_new in (True, False):
        address = sent(kira, content)
        asked = kira.post(f"{address}/import", json=of(content))
        assert kira.post(f"{address}/import", json=of(content)).json()["id"] == asked.json()["id"]
        assert do_next(other, "two")
        task = kira.get(f"/tasks/{asked.json()['id']}").json()
        assert (task["state"], task["result"]["is_new"]) == ("done", is_new), task
        assert kira.get(address).status_code == 404
    assert kira.get("/visits/1").json()["visit"]["key"] == keeper.get(f"/visits/{visit_id}").json()["visit"]["key"]
    assert kira.get(f"/media/{sha256(FILM).hexdigest()}").content == FILM
    with other.reading() as session:
        assert verify(session) is None


def zipped(name: str, content: bytes = b"x") -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as held:
        held.writestr(name, content)
    return file.getvalue()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        pytest.param(b"no archive at all", "no ZIP archive", id="something-else"),
        pytest.param(zipped("bag/../../../walk"), "a name that no bag of ours has", id="up"),
        pytest.param(zipped("/etc/walk"), "a name that no bag of ours has", id="absolute"),
    ],
)
def test_an_archive_that_no_library_made_is_refused_at_once(
    script: Clients, library: Library, content: bytes, says: str
) -> None:
    keeper = script("archivist")
    answer = keeper.post(f"{sent(keeper, content)}/import", json=of(content))
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/unusable-file")
    assert says in answer.json()["detail"]
    assert str(library.media.folder) not in answer.text


def test_what_is_no_bag_or_another_file_or_a_whole_library_is_not_taken_in(
    script: Clients, visit_id: int, done: Done, library: Library
) -> None:
    assert visit_id == 1
    keeper, ada = script("archivist"), script("administrator")
    whole = ada.get(f"/exports/{done(ada.post('/exports', json={}))['result']['name']}").content
    table = (
        (zipped("bag/x"), None, "visit.zip: it has no bagit.txt"),
        (zipped("bag/x"), "0" * 64, "visit.zip: it is not the file that was sent"),
        (whole, None, "it holds a whole library"),
    )
    for content, hashed, says in table:
        address = sent(keeper, content)
        task = done(keeper.post(f"{address}/import", json={"sha256": hashed or of(content)["sha256"]}))
        assert task["state"] == "failed"
        assert task["message"].startswith(says) or says in task["message"], task
        assert str(library.media.folder) not in task["message"]
        assert keeper.get(address).status_code == 200
    assert not list(library.media.folder.glob("uploads/*.unpacked"))


def test_who_may_bring_what(script: Clients, visit_id: int) -> None:
    assert visit_id == 1
    officer, keeper = script("officer"), script("archivist")
    content = zipped("bag/x")
    assert officer.post(f"{sent(officer, content)}/import", json=of(content)).status_code == 403
    theirs = sent(officer, content)
    assert keeper.post(f"{theirs}/import", json=of(content)).status_code == 404
    begun = keeper.post("/uploads", json={"name": "a.zip", "size_bytes": 99}).headers["location"].removeprefix(PREFIX)
    answer = keeper.post(f"{begun}/import", json=of(content))
    assert (answer.status_code, "0 of 99 bytes" in answer.json()["detail"]) == (409, True)
