"""What somebody who means harm sends over HTTP or hands to the library: refused in words, or kept and given as text."""

import json
import unicodedata
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError
from starlette.testclient import TestClient

from vouchbook.library.audit.journal import entries
from vouchbook.library.keeping.backup import back_up, restore
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.rows import stored
from vouchbook.library.keeping.visit_bag import export_visit
from vouchbook.library.open import Library, open_library
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.visits.bring import bring
from vouchbook.library.visits.drafts import draft_of
from vouchbook.library.visits.said import shown
from vouchbook.library.visits.visits import visit_of
from vouchbook.models.decisions import Answer, Judgement
from vouchbook.models.draft import Draft, draft_from_json
from vouchbook.models.errors import DocumentError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Clients = Callable[[str], TestClient]
Drafted = Callable[..., Draft]
FILM = b"RIFF a talk of which nobody will hear a word"
WORDS = {
    "terminal escapes": "\x1b[2J\x1b]0;all\x07",
    "an escape in one character": "\x9b2J",
    "a script": "<script>alert(1)</script><img/src=x/onerror=alert(1)>",
    "turns the direction": "\u202edemrifnoc\u202c",
    "a path": "../../../etc/passwd",
    "a query": "'); DROP TABLE visit; --",
    "a format": "%s%n{0.__class__}${jndi:x}",
    "no pair": "\ufffe\ufdd0",
    "10 MB": "x" * 10_000_000,
}
"""One word that somebody said; each can be a word, and stays what it is."""
NAMES = {
    "../../x.mp4": "x.mp4",
    "/etc/cron.d/x": "x",
    "C:\\Windows\\x.mp4": "x.mp4",
    "..": "..",
    "-rf": "-rf",
    "a\nb.mp4": "ab.mp4",
    "talk\x1b[2J.mp4": "talk[2J.mp4",
    "talk\u202e4pm.exe": "talk4pm.exe",
    'a"; filename="b.html': 'a"; filename="b.html',
    "<script>.html": "<script>.html",
    "n" * 255: "n" * 200,
    "\x1b": "unnamed",
}
FIELDS = (
    "\x1b[2Jx",
    "<script>alert(1)</script>",
    "../../x",
    "\u202ex",
    "x" * 5000,
    "a\x00b",
    "a\ud800b",
    "=cmd|' /C'!A0",
)


def said_with(drafted: Drafted, word: str) -> Draft:
    return drafted(
        "f" * 64,
        "captions",
        "",
        (
            ("Dov", "Two green stripes."),
            ("Dov", f"Never cut {word} here."),
            ("Dov", "Hm."),
            ("Dov", f"Pull {word[:99]} out."),
        ),
    )


@pytest.mark.parametrize("word", WORDS.values(), ids=WORDS)
def test_what_was_said_stays_what_it_is_and_only_text(
    library: Library,
    staff: dict[str, Actor],
    script: Clients,
    visit: Visit,
    drafted: Drafted,
    tmp_path: Path,
    *,
    word: str,
) -> None:
    """Through HTTP, search, bags and a backup; nothing of it becomes a name on the disk or an entry of the journal."""
    draft = said_with(drafted, word)
    added = bring(library, staff["officer"], visit, draft)
    client = script("reviewer")
    for address in ("/drafts/1/items", "/drafts/1/document", "/visits/1/sentences", "/items/2"):
        answer = client.get(address)
        assert (answer.status_code, answer.headers["content-type"]) == (200, "application/json")
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert json.dumps(shown(word) if address.endswith("sentences") else word)[1:-1] in json.dumps(answer.json())
    found = client.get("/search", params={"q": "never cut"})
    assert found.status_code == 200
    results = found.json()["results"]
    assert results
    assert all(len(one["snippet"]["text"]) <= 240 for one in results)
    with library.reading() as session:
        assert draft_of(session, added.draft_id) == draft
        told = json.dumps([entry.body for entry in entries(session)], ensure_ascii=False)
        export_visit(library, staff["archivist"], visit.key, tmp_path / "bag")
    assert word not in told
    assert check(library).is_sound
    back_up(library, tmp_path / "backup")
    assert restore(tmp_path / "backup", tmp_path / "restored").is_sound
    with open_library(tmp_path / "restored") as again, again.reading() as session:
        assert draft_of(session, added.draft_id) == draft
    names = [path.name for path in tmp_path.rglob("*")]
    assert [name for name in names if not name.isascii() or not name.isprintable() or "<" in name] == []


def with_reason(draft: Draft, reason: str) -> Draft:
    cue, warning, step = draft.items
    return draft.model_copy(update={"items": (cue, warning.model_copy(update={"signal_reason": reason}), step)})


def test_a_draft_that_holds_nul_is_refused_by_both_databases(
    library: Library, staff: dict[str, Actor], script: Clients, visit: Visit, draft: Draft
) -> None:
    """PostgreSQL would take it and could not read it again; a library of SQLite could not move there."""
    spoilt = with_reason(draft, "it\0kills")
    with pytest.raises(DocumentError, match="a character that no text has"):
        bring(library, staff["officer"], visit, spoilt)
    client = script("officer")
    assert client.get("/visits").json() == []
    bring(library, staff["officer"], visit, draft)
    assert client.post("/visits/1/drafts", json=spoilt.model_dump(mode="json")).status_code == 400
    row = {"id": 1, "login": "x", "name": "x", "roles": ["a\0"], "is_active": True, "created_at": "2031-03-04T10:00Z"}
    with pytest.raises(DocumentError, match="no database takes"):
        stored(PersonRow.metadata.tables["person"], row)


@pytest.mark.parametrize("text", ["so\x00", "so\ud800"])
def test_a_reason_that_no_database_keeps_is_none(text: str) -> None:
    with pytest.raises(ValidationError):
        Judgement(verdict="rejected", reason="other", note=text)
    with pytest.raises(ValidationError):
        Answer(outcome="answered", answer=text)


@pytest.mark.parametrize("reason", [" ", "\x1b[2J", "\n"])
def test_why_a_warning_is_one_may_be_nothing_that_can_be_read(
    library: Library, staff: dict[str, Actor], script: Clients, visit: Visit, draft: Draft, reason: str
) -> None:
    warning = draft.items[1].model_copy(update={"signal_reason": reason})
    bring(
        library, staff["officer"], visit, draft.model_copy(update={"items": (draft.items[0], warning, draft.items[2])})
    )
    bonds = script("reviewer").get("/items/2").json()["bonds"]
    assert bonds["signal_reason"].isprintable()
    assert bonds["signal_reason"]


def test_half_a_pair_is_no_word(draft: Draft) -> None:
    text = draft.to_json().replace("grey", "gr\\ud800")
    with pytest.raises(DocumentError, match="not a sound draft"):
        draft_from_json(text, "hostile")


@pytest.mark.parametrize(
    ("name", "known_as"), NAMES.items(), ids=[name[:20].encode("unicode_escape").decode() for name in NAMES]
)
def test_the_name_of_a_file_is_for_people_and_never_a_path(
    library: Library,
    staff: dict[str, Actor],
    script: Clients,
    visit: Visit,
    draft: Draft,
    tmp_path: Path,
    *,
    name: str,
    known_as: str,
) -> None:
    bring(library, staff["officer"], visit, draft)
    client = script("officer")
    begun = client.post("/uploads", json={"name": name, "size_bytes": len(FILM)})
    assert begun.status_code == 201, begun.text
    address = f"/uploads/{begun.json()['key']}"
    assert begun.json()["name"] == known_as
    assert client.patch(address, content=FILM, headers={"upload-offset": "0"}).status_code == 200
    whole: dict[str, Any] = {"sha256": sha256(FILM).hexdigest(), "visit_id": 1, "role": "recording"}
    assert client.post(f"{address}/finish", json=whole).status_code == 200
    assert [one["name"] for one in client.get("/visits/1").json()["media"]] == [known_as]
    played = client.get(f"/media/{whole['sha256']}")
    assert played.content == FILM
    assert played.headers["content-disposition"] in ("inline", "attachment")
    assert "html" not in played.headers["content-type"]
    assert played.headers["content-security-policy"].startswith("sandbox")
    files = [path for path in tmp_path.rglob("*") if path.is_file() and path.read_bytes() == FILM]
    assert [path.relative_to(library.media.folder).as_posix() for path in files] == [
        f"{whole['sha256'][:2]}/{whole['sha256'][2:]}"
    ]


@pytest.mark.parametrize("value", FIELDS, ids=[value[:12].encode("unicode_escape").decode() for value in FIELDS])
def test_a_visit_is_refused_in_words_or_says_what_it_was_given(library: Library, script: Clients, value: str) -> None:
    client = script("officer")
    kept = 0
    for field in ("place", "note", "maker", "kind", "participant", "voice"):
        person: dict[str, Any] = {"name": "Dov Almar", "part": "technician", "voice": "Dov"}
        subject: dict[str, Any] = {"kind": "loader", "maker": "Halden", "model": "L4"}
        wanted: dict[str, Any] = {"subject": subject, "held_on": "2031-03-01", "participants": [person]}
        parts = {
            "maker": subject,
            "kind": subject,
            "participant": person,
            "voice": person,
            "place": wanted,
            "note": wanted,
        }
        parts[field]["name" if field == "participant" else field] = value
        body = json.dumps(wanted).encode()  # with half a pair, which the client itself would not send
        answer = client.post("/visits", content=body, headers={"content-type": "application/json"})
        assert answer.status_code in (201, 400, 422), answer.text
        if answer.status_code != 201:
            assert answer.headers["content-type"] == "application/problem+json"
            assert answer.json()["detail"].isprintable()
            continue
        kept += 1
        assert not any(unicodedata.category(letter) in ("Cc", "Cs") for letter in value)
        with library.reading() as session:
            visit = visit_of(session, kept)
        assert value in json.dumps(visit.model_dump(mode="json"), ensure_ascii=False)
    assert len(client.get("/visits").json()) == kept
