"""Everything of a library goes through a bag, into either database, and comes out as it was."""

from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.consent import give, withdraw
from vouchbook.library.keeping.holds import place_hold
from vouchbook.library.keeping.rows import all_rows, tables
from vouchbook.library.keeping.unbag import verified
from vouchbook.library.keeping.whole import export_library, import_library, is_whole
from vouchbook.library.open import Library
from vouchbook.library.people.people import add_person, set_password
from vouchbook.library.people.sessions import proven, sign_in
from vouchbook.library.people.tokens import make_token
from vouchbook.library.review.rules import Department
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.search.saved import SavedSearch, save_search
from vouchbook.library.settings import set_department
from vouchbook.library.store.migrate import versions
from vouchbook.library.store.people_tables import SignInRow
from vouchbook.library.store.tables import DecisionRow, EditionRow, HoldRow, ItemRow, PlayRow, VisitRow
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.errors import ConflictError, DocumentError, StoreError
from vouchbook.models.people import THE_LIBRARY, Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]


@pytest.fixture
def full(library: Library, staff: Staff, media_by_role: dict[str, str], visit: Visit) -> Library:
    """A library in which there is something of everything."""
    with library.work(staff["administrator"]) as work:
        set_department(work, Department(is_one_person=True, reverify_months={"loader": 12}))
        set_password(work, 3, "seven green tractors")
        save_search(work.session.connection(), 3, SavedSearch(name="plugs", typed="grey plug"), work.at)
        make_token(work, "nightly")
    with library.work(staff["reviewer"]) as work:
        sign_in(work)
        work.session.add(PlayRow(visit_id=1, sha256=media_by_role["recording"], person_id=3, start_s=0, end_s=0.1 + 0.2,
                                 at=work.at))  # fmt: skip
        item = work.get(ItemRow, 2, "item")
        item.state, item.version = "amended", 2
        words = {"text": "never cut the thick orange cable \u2014 \U0001f6d1"}
        work.session.add(DecisionRow(item_id=2, person_id=3, at=work.at, verdict="amended", words=words))
        work.journal("amended", "item", 2, {"share": 1 / 3})
    with library.work(staff["archivist"]) as work:
        for number, replaces in ((1, None), (2, 1)):
            content = {"number": number, "share": 1 / 3, "big": 2**60}
            sha256 = canonical_sha256(content)
            work.session.add(
                EditionRow(
                    subject_id=1, visit_id=1, draft_id=1, number=number, content=content, content_sha256=sha256,
                    published_at=work.at, published_by=5, reverify_on=date(2033, 3, 4), replaces_id=replaces,
                )
            )  # fmt: skip
            work.session.flush()
            work.journal("published", "edition", number, {"content_sha256": sha256})
        give(work, 2, ["voice"])
        place_hold(work, add_visit(work, visit.model_copy(update={"key": new_key()})), "inquiry 7")
        work.session.delete(work.session.get_one(HoldRow, 1))  # so that a number was given to what is gone
        work.get(VisitRow, 2, "visit").hold_count = 0
        work.journal("took back", "hold", 1)
    withdraw(library, staff["archivist"], 1, ["picture"], removes=True)
    return library


def everything(library: Library) -> dict[str, list[dict[str, Any]]]:
    with library.reading() as session:
        return {table.name: list(all_rows(session, table)) for table in tables()}


def test_everything_goes_to_either_database_and_is_as_it_was(full: Library, other: Library, tmp_path: Path) -> None:
    before = everything(full)
    end = export_library(full, tmp_path / "bag")
    bag = verified(tmp_path / "bag")
    assert is_whole(bag)
    done = import_library(other, bag)
    assert (done.is_new, done.media) == (True, 1)
    after = everything(other)
    assert after.pop("journal")[:-1] == before.pop("journal")
    assert after == before
    assert before["decision"][0]["words"]["text"].endswith("\u2014 \U0001f6d1")
    with other.reading() as session:
        assert verify(session, [end]) is None
        last = list(entries(session))[-1]
        assert (last.act, last.what, last.what_id) == ("moved in", "library", end.own_hash)
        assert proven(session, "runa", "seven green tractors").person == 3
        assert find(session.connection(), parse("grey plug")).results
    assert check(other, [end]).wrong() == ()


def test_numbers_go_on_where_they_were(full: Library, other: Library, staff: Staff, tmp_path: Path) -> None:
    """Also that of a row that is gone: the journal still names it."""
    export_library(full, tmp_path / "bag")
    import_library(other, verified(tmp_path / "bag"))
    with other.work(staff["archivist"]) as work:
        assert place_hold(work, 1, "inquiry 8") == 2
    with other.work(staff["administrator"]) as work:
        assert add_person(work, "new", "New", []).id == 6


def test_the_same_bag_again_changes_nothing(full: Library, other: Library, tmp_path: Path) -> None:
    export_library(full, tmp_path / "bag")
    bag = verified(tmp_path / "bag")
    import_library(other, bag)
    for library in (other, full):
        before = everything(library)
        assert not import_library(library, bag).is_new
        assert everything(library) == before


def test_a_library_that_is_not_empty_is_left_alone(full: Library, other: Library, tmp_path: Path) -> None:
    with other.work(THE_LIBRARY) as work:
        add_person(work, "ada", "Ada", [])
    before = everything(other)
    export_library(full, tmp_path / "bag")
    with pytest.raises(ConflictError, match="it is not empty, and another"):
        import_library(other, verified(tmp_path / "bag"))
    assert everything(other) == before
    assert [path for path in other.media.folder.rglob("*") if path.is_file()] == []


def test_a_browsers_session_does_not_go_along(full: Library, other: Library, tmp_path: Path) -> None:
    export_library(full, tmp_path / "bag")
    import_library(other, verified(tmp_path / "bag"))
    with full.reading() as session:
        assert session.scalars(select(SignInRow)).all() != []
    with other.reading() as session:
        assert session.scalars(select(SignInRow)).all() == []


def rebag(folder: Path) -> None:
    """Writes the manifests anew, as somebody who changed the bag can."""
    for manifest, files in (
        ("manifest-sha256.txt", sorted((folder / "data").rglob("*"))),
        ("tagmanifest-sha256.txt", [folder / name for name in ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")]),
    ):
        (folder / manifest).write_text(
            "".join(
                f"{sha256(path.read_bytes()).hexdigest()}  {path.relative_to(folder).as_posix()}\n"
                for path in files
                if path.is_file()
            )
        )


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("table", "change", "says"),
    [
        ("journal", ('"act":"amended"', '"act":"confirmed"'), "Entry .* is not what was written"),
        ("draft", ("orange cable", "yellow cable"), "draft 1: it is not what was stored"),
        ("edition", ('"big":', '"bigger":'), "edition 1: it is not what was stored"),
        ("person", ('"login":', '"is_king":true,"login":'), "rows of person: 'is_king'"),
        ("person", ('"login":"ada"', '"login":7'), "login is of another kind"),
        ("person", ('"login":"ada"', '"login":"a\\u0000"'), "no database takes"),
        ("participant", ('"visit_id":1', '"visit_id":71'), "not fit together|its visit_id 71 is not there"),
        ("visit", ("2031-03-01", "soon"), "held_on is no time"),
        ("subject", ('{"', '["'), "line 1 is no row"),
    ],
)
def test_a_bag_that_was_changed_and_sealed_anew_is_refused_and_nothing_of_it_comes(
    full: Library, other: Library, tmp_path: Path, table: str, change: tuple[str, str], says: str
) -> None:
    export_library(full, tmp_path / "bag")
    path = tmp_path / "bag" / "data" / "tables" / f"{table}.jsonl"
    content = path.read_text()
    assert change[0] in content
    path.write_text(content.replace(*change, 1))
    rebag(tmp_path / "bag")
    with pytest.raises(DocumentError, match=says):
        import_library(other, verified(tmp_path / "bag"))
    assert all(rows == [] for rows in everything(other).values())


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_bag_of_a_newer_vouchbook_is_refused(full: Library, other: Library, tmp_path: Path) -> None:
    export_library(full, tmp_path / "bag")
    path = tmp_path / "bag" / "data" / "library.json"
    path.write_text(path.read_text().replace(f'"form":"{versions()[-1]}"', '"form":"9999"'))
    rebag(tmp_path / "bag")
    with pytest.raises(DocumentError, match=r"9999 is newer.*Update Vouchbook"):
        import_library(other, verified(tmp_path / "bag"))


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize(("form", "is_older"), [("0005", True), (versions()[-1], False)])
def test_a_bag_from_before_a_table_was_made_comes_without_its_rows(
    full: Library, other: Library, tmp_path: Path, form: str, *, is_older: bool
) -> None:
    export_library(full, tmp_path / "bag")
    (tmp_path / "bag" / "data" / "tables" / "verification.jsonl").unlink()
    path = tmp_path / "bag" / "data" / "library.json"
    path.write_text(path.read_text().replace(f'"form":"{versions()[-1]}"', f'"form":"{form}"'))
    rebag(tmp_path / "bag")
    if is_older:
        assert import_library(other, verified(tmp_path / "bag")).is_new
    else:
        with pytest.raises(DocumentError, match=r"no tables/verification\.jsonl"):
            import_library(other, verified(tmp_path / "bag"))
    assert bool(everything(other)["person"]) is is_older


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_medium_that_is_damaged_is_in_no_bag(full: Library, media_by_role: dict[str, str], tmp_path: Path) -> None:
    path = full.media.path(media_by_role["captions"])
    path.chmod(0o600)
    path.write_bytes(b"other")
    with pytest.raises(StoreError, match="its file holds other bytes"):
        export_library(full, tmp_path / "bag")
    path.unlink()
    with pytest.raises(StoreError, match="not in the media folder"):
        export_library(full, tmp_path / "bag")
    assert not (tmp_path / "bag").exists()
    assert not (tmp_path / "bag.unfinished").exists()


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_media_may_be_the_same_files_under_another_name(full: Library, tmp_path: Path) -> None:
    export_library(full, tmp_path / "bag", links=True)
    (medium,) = (path for path in (tmp_path / "bag" / "data" / "media").rglob("*") if path.is_file())
    assert medium.stat().st_nlink == 2
    with pytest.raises(StoreError, match="something is there already"):
        export_library(full, tmp_path / "bag")
