from collections.abc import Callable

import pytest
from sqlalchemy import text

from vouchbook.library.audit.chain import Head
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.consent import withdraw
from vouchbook.library.keeping.holds import place_hold
from vouchbook.library.open import Library
from vouchbook.library.store.open import writer_of
from vouchbook.models.errors import StoreError
from vouchbook.models.people import Actor

Staff = dict[str, Actor]
Media = dict[str, str]
_LOOSE = {
    "sqlite": ("PRAGMA foreign_keys=OFF", "PRAGMA foreign_keys=ON"),
    "postgresql": ("SET session_replication_role = replica", "SET session_replication_role = origin"),
}
Tamper = Callable[[str], None]


@pytest.fixture
def tamper(library: Library) -> Tamper:
    """Changes something behind the library's back, as somebody with the database in his hands can."""

    def change(statement: str) -> None:
        kind = library.engine.dialect.name
        before, after = _LOOSE[kind]
        with writer_of(library.engine).connect() as connection:
            raw = connection.connection.driver_connection
            assert raw is not None
            raw.execute(before)
            if kind == "sqlite":
                raw.execute("PRAGMA query_only=OFF")
                for name in ("journal_stays", "journal_keeps", "edition_stays"):
                    raw.execute(f"DROP TRIGGER IF EXISTS {name}")
            raw.execute(statement)
            raw.execute(after)
            raw.commit()

    return change


def test_a_library_that_is_sound_is_told_so_with_its_head(library: Library, staff: Staff, media_by_role: Media) -> None:
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    report = check(library)
    assert report.wrong() == ()
    assert report.is_sound
    counts = {finding.what: finding.looked_at for finding in report.findings}
    assert counts["media"] == len(media_by_role) - 1
    assert counts["drafts"] == 1
    assert counts["sentences"] > 3
    assert counts["journal entries"] == report.head.seq
    assert check(library, [report.head]).is_sound


def test_an_empty_library_is_sound(library: Library) -> None:
    assert check(library).is_sound


@pytest.mark.parametrize("at", [0, 5, 20_000])
def test_one_flipped_bit_of_a_medium_is_found(library: Library, media_by_role: Media, at: int) -> None:
    path = library.media.path(media_by_role["recording"])
    content = bytearray(path.read_bytes())
    content[at] ^= 4
    path.chmod(0o600)
    path.write_bytes(content)
    (wrong,) = check(library).wrong()
    assert media_by_role["recording"] in wrong
    assert "other bytes" in wrong


def test_a_lost_medium_is_wrong_and_one_too_many_is_odd(library: Library, media_by_role: Media) -> None:
    library.media.path(media_by_role["still"]).unlink()
    library.media.path("a" * 64).parent.mkdir()
    library.media.path("a" * 64).write_bytes(b"left")
    report = check(library)
    assert [media_by_role["still"] in sentence for sentence in report.wrong()] == [True]
    assert next(finding.odd for finding in report.findings if finding.odd)[0].startswith("medium aaaa")


def test_a_removed_medium_that_is_still_there_is_wrong(library: Library, staff: Staff, media_by_role: Media) -> None:
    path = library.media.path(media_by_role["recording"])
    content = path.read_bytes()
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(content)
    assert [sentence.endswith("it was removed, and its file is still there.") for sentence in check(library).wrong()]


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE journal SET act = 'removed' WHERE seq = 3", "Entry 3 is not what was written"),
        ("DELETE FROM journal WHERE seq = 3", "Entry 3 is missing"),
        ("UPDATE draft SET document = '{\"subject\": \"other\"}'", "draft 1: it is not what was stored"),
        ("UPDATE draft SET document_sha256 = 'x', document = '{}'", "draft 1: it is not what was stored"),
        ("UPDATE participant SET visit_id = 77 WHERE id = 1", "participant 1: its visit_id 77 is not there"),
        ("UPDATE item SET draft_id = 77 WHERE id = 2", "item 2: its draft_id 77 is not there"),
        ("UPDATE visit SET hold_count = 0", "it counts 0 holds, and 1 stand"),
        ("DELETE FROM sentence_place", "index: it has 0 of"),
    ],
)  # fmt: skip
def test_what_was_changed_behind_its_back_is_found(
    library: Library, staff: Staff, visit_id: int, tamper: Tamper, statement: str, says: str
) -> None:
    with library.work(staff["archivist"]) as work:
        place_hold(work, visit_id, "inquiry 7")
    assert check(library).is_sound
    tamper(statement)
    assert any(says in sentence for sentence in check(library).wrong()), check(library).wrong()


def test_a_draft_that_was_changed_with_its_hash_is_another_than_the_journal_tells_of(
    library: Library, visit_id: int, tamper: Tamper
) -> None:
    assert visit_id == 1
    tamper(
        "UPDATE draft SET document = '{}', "  # with the SHA-256 of just that
        "document_sha256 = '44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a'"
    )
    assert any("another than the journal tells of" in sentence for sentence in check(library).wrong())


def test_a_draft_that_is_gone_is_told(library: Library, visit_id: int, tamper: Tamper) -> None:
    assert visit_id == 1
    tamper("DELETE FROM draft")
    assert "draft 1: the journal tells of it, and it is not there." in check(library).wrong()


def test_a_journal_that_is_not_the_one_whose_head_was_kept_is_told(library: Library, visit_id: int) -> None:
    assert visit_id == 1
    assert not check(library, [Head(seq=2, own_hash="b" * 64)]).is_sound
    assert not check(library, [Head(seq=2000, own_hash="b" * 64)]).is_sound


def test_a_database_of_which_a_page_was_overwritten_is_told(library: Library, visit_id: int) -> None:
    assert visit_id == 1
    if library.engine.dialect.name != "sqlite":
        return
    path = library.url.database
    assert path is not None
    with library.engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        raw.rollback()
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        root = connection.execute(
            text("SELECT rootpage FROM sqlite_master WHERE name = 'ix_journal_what'")
        ).scalar_one()
    library.close()
    with open(path, "r+b") as file:  # noqa: PTH123
        file.seek((root - 1) * 4096 + 2000)
        file.write(b"\xff" * 2000)
    with pytest.raises(StoreError, match="the database is damaged"):
        check(library)
