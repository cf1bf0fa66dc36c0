from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from vouchbook.library.open import Library
from vouchbook.library.queue.run import do_next
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Clients = Callable[[str], TestClient]
Seen = Callable[[Any], dict[str, str]]
CONFIRMED = {"verdict": "confirmed"}
CUE, DANGER, STEP = "/items/1", "/items/2", "/items/3"


@pytest.fixture
def on_table(library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft) -> None:
    bring(library, staff["officer"], visit, draft)


@pytest.fixture
def heard(
    library: Library, staff: dict[str, Actor], visit: Visit, drafted: Callable[..., Draft], tmp_path: Path
) -> str:
    film = tmp_path / "film.wav"
    film.write_bytes(b"thirty seconds of talk")
    sha256 = library.media.add(film).sha256
    bring(library, staff["officer"], visit, drafted(sha256, "recording"), [File(path=film, role="recording")])
    return sha256


def test_a_visit_comes_and_its_draft_is_decided_and_published(script: Clients, draft: Draft, seen: Seen) -> None:
    """From the officer's first request to the next day: everything over HTTP."""
    officer, one, two, archivist = (script(part) for part in ("officer", "reviewer", "second", "archivist"))
    wanted = {
        "subject": {"kind": "loader", "maker": "Halden", "model": "L4"},
        "held_on": "2031-03-01",
        "participants": [{"name": "Dov Almar", "part": "technician", "voice": "Dov"}],
    }
    came = officer.post("/visits", json=wanted)
    assert came.status_code == 201
    visit = came.headers["location"].removeprefix("/api/v1")
    assert officer.get("/visits").json()[0]["subject"]["maker"] == "Halden"
    added = officer.post(f"{visit}/drafts", json=draft.model_dump(mode="json"))
    assert (added.status_code, added.json()["is_new"]) == (201, True)
    assert officer.post(f"{visit}/drafts", json=draft.model_dump(mode="json")).json()["is_new"] is False
    table = f"/drafts/{added.json()['draft_id']}"
    assert [item["case"]["kind"] for item in one.get(f"{table}/items").json()] == ["cue", "warning", "step"]
    assert [line["voice"] for line in one.get(f"{visit}/sentences").json()] == ["Dov", "Dov", "Ruta", "Dov"]
    assert archivist.post(f"{table}/edition", json={}).status_code == 409
    for item in (CUE, DANGER, STEP):
        for reviewer in (one, two):
            looked = reviewer.get(item)
            if looked.json()["state"]["name"] != "confirmed":
                done = reviewer.post(f"{item}/decisions", json=CONFIRMED, headers=seen(looked))
                assert done.status_code == 201, done.text
                assert done.headers["etag"] != looked.headers["etag"]
    for question in one.get(f"{table}/questions").json():
        address = f"/questions/{question['question_id']}"
        settled = one.put(f"{address}/settlement", json={"outcome": "carried"}, headers=seen(one.get(address)))
        assert settled.status_code == 200, settled.text
    assert one.get(f"{table}/open-points").json() == []
    assert one.get(f"{table}/counts").json()["items"] == {"confirmed": 3}
    published = archivist.post(f"{table}/edition", json={})
    assert published.status_code == 201
    edition = published.headers["location"].removeprefix("/api/v1")
    read = one.get(edition)
    assert read.headers["etag"] == f'"{published.json()["content_sha256"]}"'
    assert one.get(edition, headers={"if-none-match": read.headers["etag"]}).status_code == 304
    assert [item["first"]["name"] for item in read.json()["items"]] == ["Runa", "Runa", "Runa"]
    found = one.get("/search", params={"q": "orange cable", "is_confirmed_only": True}).json()["results"]
    assert [result["edition_state"] for result in found] == ["published"]
    assert archivist.get("/editions/due", params={"within_days": 3660}).json()[0]["edition"]["number"] == 1
    assert one.get(f"{edition}/difference/1").json()
    verify_again(edition, one, two, archivist)
    assert archivist.post(f"{edition}/withdrawal", json={"reason": "the maker changed the plug"}).status_code == 200
    assert one.get(f"{edition}/state").json()["withdrawn_reason"] == "the maker changed the plug"
    verdict = archivist.post("/audit/verification", json={"heads": [archivist.get("/audit/head").json()["line"]]})
    assert verdict.json()["is_sound"] is True


def verify_again(edition: str, one: TestClient, two: TestClient, archivist: TestClient) -> None:
    """Not by who published it; with how; by who did it taken back, with a reason."""
    how = {"how": "looked at the machine at the depot"}
    was = one.get(f"{edition}/state").json()
    assert archivist.post(f"{edition}/verifications", json=how).status_code == 403
    assert one.post(f"{edition}/verifications", json={"how": " "}).status_code == 422
    done = one.post(f"{edition}/verifications", json=how)
    assert (done.status_code, done.json()["state"], done.json()["verified"][0]["by"]) == (201, "in force", "Runa")
    assert done.json()["content_sha256"] == was["content_sha256"]
    number = done.json()["verified"][0]["id"]
    (told,) = two.get("/editions/due", params={"within_days": 3660}).json()
    assert told["edition"]["verified"][0]["how"] == how["how"]
    back = f"{edition}/verifications/{number}/withdrawal"
    assert two.post(back, json={"reason": "no"}).status_code == 403
    assert one.post(back, json={"reason": "the other loader"}).json()["reverify_on"] == was["reverify_on"]
    assert one.post(back, json={"reason": "again"}).status_code == 409
    assert [said["undone_reason"] for said in two.get(f"{edition}/verifications").json()] == ["the other loader"]


@pytest.mark.usefixtures("on_table")
def test_of_two_who_decide_at_once_one_is_told(script: Clients, seen: Seen) -> None:
    one, two = script("reviewer"), script("second")
    looked = seen(one.get(CUE))
    assert one.post(f"{CUE}/decisions", json=CONFIRMED, headers=looked).status_code == 201
    late = two.post(f"{CUE}/decisions", json={"verdict": "rejected", "reason": "unsafe"}, headers=looked)
    assert late.status_code == 412
    assert "confirmed by Runa" in late.json()["detail"]
    assert one.get(CUE).json()["state"]["name"] == "confirmed"


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        pytest.param({}, 428, id="nothing-seen"),
        pytest.param({"if-match": "*"}, 428, id="anything"),
        pytest.param({"if-match": '"v1", "v2"'}, 428, id="one-of-many"),
        pytest.param({"if-match": '"v9"'}, 412, id="another-version"),
        pytest.param({"if-match": 'W/"v1"'}, 412, id="weak"),
        pytest.param({"if-match": "v1"}, 412, id="no-tag"),
        pytest.param({"if-match": '"v1"'}, 201, id="as-seen"),
    ],
)
@pytest.mark.usefixtures("on_table")
def test_a_decision_says_what_was_seen(script: Clients, headers: dict[str, str], status: int) -> None:
    answer = script("reviewer").post(f"{CUE}/decisions", json=CONFIRMED, headers=headers)
    assert answer.status_code == status


@pytest.mark.usefixtures("on_table")
def test_a_decision_is_taken_back_by_who_took_it(script: Clients, seen: Seen) -> None:
    one, two = script("reviewer"), script("second")
    done = one.post(f"{CUE}/decisions", json=CONFIRMED, headers=seen(one.get(CUE)))
    assert two.delete(f"{CUE}/decisions/last", headers=seen(done)).status_code == 409
    back = one.delete(f"{CUE}/decisions/last", headers=seen(done))
    assert (back.status_code, back.json()["state"]["name"]) == (200, "open")
    assert len(back.json()["decisions"]) == 1


def test_a_danger_warning_is_heard_before_it_is_vouched_for(heard: str, script: Clients, seen: Seen) -> None:
    one = script("reviewer")
    looked = seen(one.get(DANGER))
    refused = one.post(f"{DANGER}/decisions", json=CONFIRMED, headers=looked)
    assert refused.status_code == 403
    assert "not heard" in refused.json()["detail"]
    assert one.post("/visits/1/plays", json=[{"sha256": heard, "start_s": 5, "end_s": 12}]).json() == {"kept": 1}
    assert one.post(f"{DANGER}/decisions", json=CONFIRMED, headers=looked).status_code == 201


@pytest.mark.usefixtures("on_table")
def test_an_item_is_added_by_hand_and_borrowed_only_from_what_is_there(script: Clients) -> None:
    officer = script("officer")
    fields = {"phase": "Disable", "text": "the light goes out"}
    phase = officer.get(CUE).json()["case"]["as_read"]["phase"]
    made = officer.post(
        "/drafts/1/items",
        json={"kind": "cue", "fields": fields | {"phase": phase}, "source_note": "Halden guide, page 12"},
    )
    assert made.status_code == 201, made.text
    assert made.headers["location"] == "/api/v1/items/4"
    assert officer.post("/drafts/1/loans", json={"edition_id": 7, "key": "i1"}).status_code == 404


def added_by(client: TestClient) -> str:
    """The address of an item that somebody adds by hand."""
    fields = {"phase": client.get(CUE).json()["case"]["as_read"]["phase"], "text": "the light goes out"}
    item = {"kind": "cue", "fields": fields, "source_note": "Halden guide, page 12"}
    location: str = client.post("/drafts/1/items", json=item).headers["location"]
    return location.removeprefix("/api/v1")


@pytest.mark.parametrize("part", ["officer", "administrator"])
@pytest.mark.usefixtures("on_table")
def test_what_was_added_is_taken_out_by_who_added_it_or_an_administrator(
    script: Clients, seen: Seen, part: str
) -> None:
    officer, client = script("officer"), script(part)
    address = added_by(officer)
    looked = seen(officer.get(address))
    assert script("reviewer").delete(address, headers=looked).status_code == 403
    assert client.delete(address).status_code == 428
    assert client.delete(address, headers={"if-match": '"v7"'}).status_code == 412
    assert len(officer.get("/drafts/1/items").json()) == 4
    done = client.delete(address, headers=looked)
    assert (done.status_code, done.content) == (204, b"")
    assert [item["case"]["key"] for item in officer.get("/drafts/1/items").json()] == ["i1", "i2", "i3"]
    assert officer.get(address).status_code == client.delete(address, headers=looked).status_code == 404
    assert script("archivist").post("/audit/verification", json={}).json()["is_sound"] is True


@pytest.mark.usefixtures("on_table")
def test_what_was_read_or_decided_on_is_not_taken_out(script: Clients, seen: Seen) -> None:
    officer, one = script("officer"), script("reviewer")
    read = officer.delete(CUE, headers=seen(officer.get(CUE)))
    assert (read.status_code, "Reject it instead" in read.json()["detail"]) == (403, True)
    address = added_by(officer)
    assert one.post(f"{address}/decisions", json=CONFIRMED, headers=seen(one.get(address))).status_code == 201
    decided = officer.delete(address, headers=seen(officer.get(address)))
    assert (decided.status_code, "somebody has decided on it" in decided.json()["detail"]) == (409, True)
    one.delete(f"{address}/decisions/last", headers=seen(one.get(address)))
    assert officer.delete(address, headers=seen(officer.get(address))).status_code == 204


@pytest.mark.parametrize("part", ["officer", "archivist", "administrator"])
@pytest.mark.usefixtures("on_table")
def test_only_reviewers_decide(script: Clients, seen: Seen, part: str) -> None:
    client = script(part)
    answer = client.post(f"{CUE}/decisions", json=CONFIRMED, headers=seen(client.get(CUE)))
    assert answer.status_code == 403


@pytest.mark.parametrize(
    "address",
    ["/visits/9", "/visits/9/sentences", "/drafts/9", "/drafts/9/document", "/drafts/9/items", "/drafts/9/questions",
     "/drafts/9/stills", "/drafts/9/counts", "/drafts/9/events", "/drafts/9/open-points", "/drafts/9/findings",
     "/items/9", "/questions/9",
     "/questions/9/candidates", "/editions/9", "/editions/9/state", "/editions/9/verifications",
     "/editions/9/difference/9", "/people/99", "/tasks/9", "/tasks/9/events",
     "/media/" + "0" * 64, "/uploads/" + "0" * 36],
)  # fmt: skip
def test_what_is_not_there_is_told(script: Clients, address: str) -> None:
    answer = script("officer").get(address)
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/not-found"


@pytest.mark.usefixtures("on_table")
def test_searches_are_kept_by_name(script: Clients) -> None:
    one, two = script("reviewer"), script("second")
    kept = {"typed": "orange cable", "filters": {"kind": "warning"}}
    assert one.put("/me/searches/cables", json=kept).status_code == 200
    assert [search["name"] for search in one.get("/me/searches").json()] == ["cables"]
    assert two.get("/me/searches").json() == []
    assert two.delete("/me/searches/cables").status_code == 404
    assert one.delete("/me/searches/cables").status_code == 204


def test_hostile_words_stay_words(script: Clients, drafted: Callable[..., Draft]) -> None:
    officer = script("officer")
    said = (("<script>alert(1)</script>", "Pull <img src=x onerror=alert(1)> ../../../etc/passwd"),) * 4
    hostile = {"subject": {"kind": "<b>loader</b>", "maker": "'; DROP TABLE visit; --"}, "held_on": "2031-03-01"}
    visit = officer.post("/visits", json=hostile).headers["location"].removeprefix("/api/v1")
    document = drafted("e" * 64, "captions", said=(*said, ("x", "a b c d e f g h"))).model_dump(mode="json")
    assert officer.post(f"{visit}/drafts", json=document).status_code == 201
    answer = officer.get(f"{visit}/sentences")
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert officer.get("/visits").json()[0]["subject"]["maker"] == "'; DROP TABLE visit; --"


@pytest.mark.usefixtures("on_table")
def test_the_journal_is_read_by_those_who_keep_it(script: Clients) -> None:
    archivist = script("archivist")
    first = archivist.get("/audit/entries", params={"most": 2}).json()
    assert [entry["seq"] for entry in first] == [1, 2]
    assert archivist.get("/audit/entries", params={"after": 2, "most": 1}).json()[0]["seq"] == 3
    assert script("reviewer").get("/audit/entries").status_code == 403
    wrong = archivist.post("/audit/verification", json={"heads": [f"vouchbook journal 1 {'0' * 64}"]}).json()
    assert (wrong["is_sound"], wrong["broken"]["seq"]) == (False, 1)


@pytest.mark.usefixtures("on_table")
def test_what_says_the_same_in_other_words_is_found_over_http(library: Library, script: Clients) -> None:
    one = script("reviewer")
    asked: dict[str, str | bool] = {"q": "which wire is lethal", "by_meaning": True}
    before = one.get("/search", params=asked).json()
    assert "are found by their words only" in before["notes"][-1]
    assert script("officer").post("/tasks/learning").status_code == 403
    assert script("archivist").post("/tasks/learning").status_code == 202
    assert do_next(library, "here")
    after = one.get("/search", params=asked).json()
    assert after["notes"] == []
    assert "orange cable" in after["results"][0]["snippet"]["text"]
    plain = one.get("/search", params={"q": "which wire is lethal"}).json()
    assert len(plain["results"]) < len(after["results"])
