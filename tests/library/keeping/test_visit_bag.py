"""One visit goes from one library to another: whole, once, and nobody there vouches in the name of somebody here."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.arrivals import import_visit
from vouchbook.library.keeping.bag import info_of, new_bag
from vouchbook.library.keeping.check import check
from vouchbook.library.keeping.consent import consents_of, give, withdraw
from vouchbook.library.keeping.removal import hide
from vouchbook.library.keeping.unbag import VerifiedBag, verified
from vouchbook.library.keeping.visit_bag import export_visit
from vouchbook.library.open import Library
from vouchbook.library.people.people import add_person
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.store.tables import DecisionRow, DraftRow, EditionRow, ItemRow, MediumRow, VisitRow
from vouchbook.library.visits.drafts import add_draft, draft_of
from vouchbook.library.visits.visits import add_visit, new_key, visit_of
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, DocumentError, NotAllowedError
from vouchbook.models.people import THE_LIBRARY, Actor, actor_of
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
Media = dict[str, str]


@pytest.fixture
def there(other: Library) -> Actor:
    """The archivist of the other library, whose numbers are others than here."""
    with other.work(THE_LIBRARY) as work:
        for login in ("uma", "vera", "wim", "xena", "yuri", "zoe"):
            add_person(work, login, login, ["administrator"])
        return actor_of(add_person(work, "alva", "Alva", ["archivist"]))


@pytest.fixture
def decided(library: Library, staff: Staff, media_by_role: Media) -> None:
    """A decision, two editions of which the second replaces the first, and a consent."""
    assert media_by_role
    with library.work(staff["reviewer"]) as work:
        item = work.get(ItemRow, 2, "item")
        item.state = "confirmed"
        work.session.add(DecisionRow(item_id=2, person_id=3, at=work.at, verdict="confirmed"))
        work.journal("confirmed", "item", 2)
    with library.work(staff["archivist"]) as work:
        give(work, 1, ["voice"])
        for number, replaces in ((1, None), (2, 1)):
            content = {"number": number, "replaces": replaces}
            sha256 = canonical_sha256(content)
            work.session.add(
                EditionRow(
                    subject_id=1, visit_id=1, draft_id=1, number=number, content=content, content_sha256=sha256,
                    published_at=work.at, published_by=5, reverify_on=date(2033, 3, 4), replaces_id=replaces,
                )
            )  # fmt: skip
            work.session.flush()
            work.journal("published", "edition", number, {"content_sha256": sha256})


@pytest.fixture
def bag(library: Library, staff: Staff, visit: Visit, decided: None, tmp_path: Path) -> VerifiedBag:
    assert decided is None
    export_visit(library, staff["archivist"], visit.key, tmp_path / "bag")
    return verified(tmp_path / "bag")


def test_a_visit_comes_with_everything(
    other: Library, there: Actor, bag: VerifiedBag, visit: Visit, draft: Draft, media_by_role: Media
) -> None:
    done = import_visit(other, there, bag)
    assert (done.key, done.is_new) == (visit.key, True)
    with other.reading() as session:
        assert visit_of(session, done.visit_id) == visit
        (row,) = session.scalars(select(DraftRow))
        assert draft_of(session, row.id) == draft
        (item,) = session.scalars(select(ItemRow).where(ItemRow.state == "confirmed"))
        (decision,) = session.scalars(select(DecisionRow))
        assert decision.item_id == item.id
        first, second = session.scalars(select(EditionRow).order_by(EditionRow.number))
        assert (first.replaces_id, second.replaces_id) == (None, first.id)
        dov, _ = consents_of(session, done.visit_id)
        assert dov.agreed == {"voice"}
        found = find(session.connection(), parse("grey plug")).results
        assert {one.visit_id for one in found} == {done.visit_id}
        assert verify(session) is None
    assert all(other.media.verify(sha256) is None for sha256 in media_by_role.values())
    assert check(other).wrong() == ()


def test_nobody_of_elsewhere_can_act_here(other: Library, there: Actor, bag: VerifiedBag) -> None:
    """Not even the one of the same login and name: Alva there is not Alva here."""
    import_visit(other, there, bag)
    with other.reading() as session:
        came = session.scalars(select(PersonRow).where(PersonRow.login.like("%.%")).order_by(PersonRow.id)).all()
        assert [row.name for row in came] == ["Olin", "Runa", "Alva"]
        assert {(row.is_active, row.password_hash, len(row.roles)) for row in came} == {(False, None, 0)}
        decision = session.scalars(select(DecisionRow)).one()
        assert decision.person_id == came[1].id
        assert session.scalars(select(EditionRow.published_by)).all() == [came[2].id] * 2
        told = [entry for entry in entries(session) if entry.act == "took in"]
    assert [entry.person for entry in told] == [there.person]


def test_the_same_bag_again_changes_nothing(
    library: Library, staff: Staff, other: Library, there: Actor, bag: VerifiedBag
) -> None:
    first = import_visit(other, there, bag)
    for where, actor in ((other, there), (library, staff["archivist"])):
        with where.reading() as session:
            before = len(list(entries(session)))
        assert import_visit(where, actor, bag) == first.model_copy(update={"is_new": False})
        with where.reading() as session:
            assert len(list(entries(session))) == before
            assert len(session.scalars(select(VisitRow)).all()) == 1


def test_a_second_visit_of_the_same_library_brings_nobody_twice(
    library: Library, staff: Staff, other: Library, there: Actor, bag: VerifiedBag, visit: Visit, *, tmp_path: Path
) -> None:  # fmt: skip
    import_visit(other, there, bag)
    another = visit.model_copy(update={"key": new_key(), "recorded_by": 2})
    with library.work(staff["officer"]) as work:
        add_visit(work, another)
    export_visit(library, staff["archivist"], another.key, tmp_path / "second")
    import_visit(other, there, verified(tmp_path / "second"))
    with other.reading() as session:
        logins = session.scalars(select(PersonRow.login).where(PersonRow.login.like("%.%"))).all()
        assert len(logins) == len(set(logins)) == 3


def test_a_visit_that_changed_there_is_a_conflict(
    library: Library, staff: Staff, other: Library, there: Actor, bag: VerifiedBag, visit: Visit, *, tmp_path: Path
) -> None:  # fmt: skip
    import_visit(other, there, bag)
    with library.work(staff["archivist"]) as work:
        give(work, 2, ["picture"])
    export_visit(library, staff["archivist"], visit.key, tmp_path / "later")
    with pytest.raises(ConflictError, match="it is here already, in another state"):
        import_visit(other, there, verified(tmp_path / "later"))


def test_what_is_hidden_or_removed_does_not_leave(
    library: Library, staff: Staff, other: Library, there: Actor, visit: Visit, media_by_role: Media, *,
    tmp_path: Path,
) -> None:  # fmt: skip
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    with library.work(staff["archivist"]) as work:
        hide(work, media_by_role["still"], "consent withdrawn")
    export_visit(library, staff["archivist"], visit.key, tmp_path / "bag")
    bag = verified(tmp_path / "bag")
    assert sum(name.startswith("media/") for name in bag.payload) == 1
    import_visit(other, there, bag)
    with other.reading() as session:
        gone = session.scalars(select(MediumRow).where(MediumRow.removed_at.is_not(None))).all()
        assert {row.sha256: row.removed_reason for row in gone} == {
            media_by_role["recording"]: "consent withdrawn",
            media_by_role["still"]: "hidden in the library that it came from",
        }
    assert check(other).wrong() == ()


def test_what_was_removed_here_does_not_come_back_in_a_bag(
    other: Library, there: Actor, bag: VerifiedBag, media_by_role: Media
) -> None:
    with other.work(there) as work:
        work.session.add(
            MediumRow(
                sha256=media_by_role["still"], size_bytes=1, media_type="x", added_at=work.at, removed_at=work.at,
                removed_reason="consent withdrawn",
            )
        )  # fmt: skip
        work.journal("removed", "medium", media_by_role["still"])
    with pytest.raises(ConflictError, match=r"removed here \(consent withdrawn\)"):
        import_visit(other, there, bag)
    assert not other.media.path(media_by_role["still"]).exists()
    with other.reading() as session:
        assert session.scalars(select(VisitRow)).all() == []


def test_an_edition_whose_number_is_taken_here_keeps_the_visit_out(
    other: Library, there: Actor, bag: VerifiedBag, visit: Visit, drafted: Callable[..., Draft]
) -> None:
    with other.work(THE_LIBRARY) as work:
        own = add_visit(work, visit.model_copy(update={"key": new_key()}))
        added = add_draft(work, own, drafted("e" * 64, "captions"))
        work.session.add(
            EditionRow(
                subject_id=1, visit_id=own, draft_id=added.draft_id, number=2, content={}, content_sha256="0" * 64,
                published_at=work.at, published_by=1, reverify_on=date(2033, 3, 4),
            )
        )  # fmt: skip
        work.journal("published", "edition", 1)
    with pytest.raises(ConflictError, match="edition 2: this subject has another of that number here"):
        import_visit(other, there, bag)
    with other.reading() as session:
        assert session.scalars(select(VisitRow.id)).all() == [own]


@pytest.mark.parametrize("role", ["officer", "reviewer"])
def test_who_keeps_the_library_exports_and_imports(
    library: Library, staff: Staff, bag: VerifiedBag, visit: Visit, tmp_path: Path, role: str
) -> None:
    with pytest.raises(NotAllowedError):
        export_visit(library, staff[role], visit.key, tmp_path / "other bag")
    with pytest.raises(NotAllowedError):
        import_visit(library, staff[role], bag)
    assert not (tmp_path / "other bag").exists()


def test_an_export_is_on_the_record_and_holds_no_password(library: Library, bag: VerifiedBag, visit: Visit) -> None:
    with library.reading() as session:
        assert [entry.what_id for entry in entries(session) if entry.act == "exported"] == ["1"]
    people = [json.loads(line) for line in bag.path("tables/person.jsonl").read_text().splitlines()]
    assert {tuple(sorted(row)) for row in people} == {("id", "login", "name")}
    assert visit.key in bag.info["External-Identifier"]


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("draft", ("orange cable", "yellow cable"), "draft .* is not what was stored|not what was stored"),
        ("edition", ('"number":1,"replaces":null', '"number":1,"replaces":7'), "not what was published"),
        ("decision", ('"item_id":2', '"item_id":99'), "item_id 99 is not in it"),
        ("decision", ('"person_id":3', '"person_id":1'), "person_id 1 is not in it"),
        ("person", ('"name":"Runa"', '"name":"Runa","roles":["administrator"]'), None),
        ("person", ('"login":"runa"', '"login":"Runa <b>"'), "a name or login cannot be"),
        ("medium", ('"size_bytes":', '"size_bytes":1'), "another than it says"),
        ("visit", ('"hold_count":0', '"hold_count":"x"'), "hold_count is of another kind"),
        ("participant", ('"part":"technician"', '"part":"king"'), "does not fit together"),
    ],
)  # fmt: skip
def test_a_bag_that_was_forged_is_refused_and_nothing_of_it_comes(
    other: Library,
    there: Actor,
    bag: VerifiedBag,
    tmp_path: Path,
    *,
    name: str,
    change: tuple[str, str],
    says: str | None,
) -> None:
    tables = json.loads(bag.path("visit.json").read_bytes())["tables"]
    texts = {table: bag.path(f"tables/{table}.jsonl").read_text().splitlines() for table in tables}
    changed = "\n".join(texts[name])
    assert change[0] in changed
    texts[name] = changed.replace(*change, 1).split("\n")
    rows = {table: [json.loads(line) for line in lines] for table, lines in texts.items()}
    about = json.loads(bag.path("visit.json").read_bytes()) | {"digest": canonical_sha256(rows)}
    with new_bag(tmp_path / "forged") as made:
        made.lines("visit.json", [json.dumps(about).encode()])
        for table, lines in texts.items():
            made.lines(f"tables/{table}.jsonl", [line.encode() for line in lines])
        for medium in (path for path in bag.payload if path.startswith("media/")):
            made.medium(bag.path(medium), bag.payload[medium], links=False)
        made.close(info_of("x", "y", date(2031, 1, 1)))
    forged = verified(tmp_path / "forged")
    if says is None:  # what it says of roles is not looked at
        import_visit(other, there, forged)
        with other.reading() as session:
            came = session.scalars(select(PersonRow).where(PersonRow.login.like("%.%"))).all()
            assert {len(row.roles) for row in came} == {0}
        return
    with pytest.raises(DocumentError, match=says):
        import_visit(other, there, forged)
    with other.reading() as session:
        assert session.scalars(select(VisitRow)).all() == []
