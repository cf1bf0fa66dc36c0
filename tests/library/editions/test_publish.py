from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from sqlalchemy import text

from vouchbook.library.audit.journal import entries_about, verify
from vouchbook.library.editions.content import content_sha256
from vouchbook.library.editions.due import due
from vouchbook.library.editions.publish import Published, open_points, publish
from vouchbook.library.editions.shelf import altered, edition_of, in_force, related_editions, shelf
from vouchbook.library.editions.withdraw import withdraw
from vouchbook.library.open import Library
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.review.rules import Department
from vouchbook.library.review.settle import draft_questions, settle
from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.settings import set_department
from vouchbook.library.store.open import writer_of
from vouchbook.library.store.tables import DraftRow
from vouchbook.library.visits.drafts import add_draft
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.decisions import Answer, Judgement, Outcome
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError, SettingError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
Drafted = Callable[..., Draft]
CONFIRMED = Judgement(verdict="confirmed")
DUPLICATE = Judgement(verdict="rejected", reason="duplicate")
HOSE = (
    ("Dov", "This is the Halden loader, you know it by the two green stripes."),
    ("Dov", "Never touch the black hose at the front, it whips and kills you."),
    ("Ruta", "How do I get the plug out?"),
    ("Dov", "Pull the grey plug straight out with the insulated tongs."),
)


def bring(library: Library, staff: Staff, visit: Visit, draft: Draft) -> int:
    with library.work(staff["officer"]) as work:
        return add_draft(work, add_visit(work, visit), draft).draft_id


def decide_all(
    library: Library,
    staff: Staff,
    draft_id: int,
    judgements: dict[str, Judgement] | None = None,
    outcome: Outcome = "carried",
) -> None:
    """Both reviewers decide on every item, confirming where nothing else is given, and all questions are settled."""
    for who in ("reviewer", "second"):
        with library.work(staff[who]) as work:
            for item in draft_items(work.session, draft_id):
                if item.state.name in ("open", "waits for a second person"):
                    decide(work, item.item_id, item.version, (judgements or {}).get(item.case.key, CONFIRMED))
    with library.work(staff["reviewer"]) as work:
        for question in draft_questions(work.session, draft_id):
            if question.settled is None:
                settle(work, question.question_id, question.version, Answer(outcome=outcome))


def published(library: Library, staff: Staff, draft_id: int, *lets_go: str) -> Published:
    with library.work(staff["archivist"]) as work:
        return publish(work, draft_id, lets_go)


def again(visit: Visit) -> Visit:
    return visit.model_copy(update={"key": new_key(), "held_on": date(2031, 3, 2)})


def test_a_fully_decided_draft_becomes_an_edition(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number, {"i1": Judgement(verdict="amended", words={"text": "two green bands"})})
    one = published(library, staff, number)
    edition = one.edition
    assert (edition.number, edition.replaces, edition.subject) == (1, None, visit.subject)
    assert (edition.published.name, edition.reverify_on, edition.one_person_note) == ("Alva", date(2033, 3, 4), None)
    assert edition.visit.draft_sha256 == entries_sha256(library, number)
    assert [(item.key, item.first.name, item.second and item.second.name) for item in edition.items] == [
        ("i1", "Runa", None), ("i2", "Runa", "Sven"), ("i3", "Runa", "Sven"),
    ]  # fmt: skip
    assert (edition.items[0].as_read["text"], edition.items[0].as_vouched["text"]) == (
        "two green stripes", "two green bands",
    )  # fmt: skip
    assert edition.items[1].bonds.signal_reason == "told"
    assert [(question.key, question.outcome) for question in edition.questions] == [
        ("q1", "carried"),
        ("q2", "carried"),
    ]
    assert one.content_sha256 == content_sha256(edition)
    with library.reading() as session:
        assert edition_of(session, one.edition_id) == edition
        assert session.get_one(DraftRow, number).state == "published"
        assert entries_about(session, "edition", "1")[0].body["content_sha256"] == one.content_sha256
        assert (verify(session), list(altered(session))) == (None, [])


def entries_sha256(library: Library, number: int) -> str:
    with library.reading() as session:
        return str(entries_about(session, "draft", str(number))[0].body["document_sha256"])


def test_what_is_still_open_is_named_and_nothing_is_published(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    number = bring(library, staff, visit, draft)
    with library.reading() as session:
        assert [point.key for point in open_points(session, number)] == ["i1", "i2", "i3", "q1", "q2"]
    with pytest.raises(ConflictError, match=r"Item i1 is open: nobody has decided it, and 4 more\. Decide it"):
        published(library, staff, number)
    decide_all(library, staff, number)
    with library.work(staff["second"]) as work:
        undo(work, 2, 3)
    with pytest.raises(ConflictError, match=r"Item i2 waits for a second person: it is a danger warning\. Decide"):
        published(library, staff, number)
    with library.reading() as session:
        assert shelf(session) == ()


@pytest.mark.parametrize("role", ["officer", "reviewer", "administrator"])
def test_archivists_publish_and_withdraw(library: Library, staff: Staff, visit: Visit, draft: Draft, role: str) -> None:
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number)
    with pytest.raises(NotAllowedError, match="only an archivist"), library.work(staff[role]) as work:
        publish(work, number)
    published(library, staff, number)
    with pytest.raises(NotAllowedError, match="only an archivist"), library.work(staff[role]) as work:
        withdraw(work, 1, "wrong plug")


def test_what_is_published_stays_as_it_is(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number)
    published(library, staff, number)
    with pytest.raises(ConflictError, match="published and stays"), library.work(staff["reviewer"]) as work:
        undo(work, 1, 2)
    with pytest.raises(ConflictError, match="published and stays"):
        published(library, staff, number)


def test_a_one_person_office_publishes_alone_and_says_so(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    number = bring(library, staff, visit, draft)
    with library.work(staff["administrator"]) as work:
        set_department(work, Department(is_one_person=True, reverify_months={"loader": 6}))
    with library.work(staff["reviewer"]) as work:
        for item in draft_items(work.session, number):
            decide(work, item.item_id, 1, CONFIRMED)
        for question in draft_questions(work.session, number):
            settle(work, question.question_id, 1, Answer(outcome="not needed"))
    edition = published(library, staff, number).edition
    assert "one person" in (edition.one_person_note or "")
    assert (edition.reverify_on, [item.second for item in edition.items]) == (date(2031, 9, 4), [None] * 3)


def test_the_next_edition_replaces_the_one_before(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted
) -> None:
    first = bring(library, staff, visit, draft)
    decide_all(library, staff, first)
    published(library, staff, first)
    second = bring(library, staff, again(visit), drafted("e" * 64, "captions"))
    decide_all(library, staff, second, {"i3": Judgement(verdict="amended", words={"tool": "long tongs"})})
    one = published(library, staff, second)
    assert (one.edition.number, one.edition.replaces) == (2, 1)
    assert one.difference is not None
    assert [(c.after.key, [f.field for f in c.changes]) for c in one.difference.changed] == [("i3", ["tool"])]
    with library.reading() as session:
        assert [(one.number, one.state, one.replaces) for one in shelf(session)] == [
            (2, "in force", 1),
            (1, "replaced", None),
        ]
        assert [edition.number for edition in related_editions(session, visit.subject)] == [2]
        states = {
            r.edition_number: r.edition_state for r in find(session.connection(), parse("plug kind:step")).results
        }
        assert states == {1: "replaced", 2: "published"}


@pytest.mark.parametrize("subject", [{"model": "L9"}, {"years_from": None}])
def test_editions_are_numbered_by_subject(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted, subject: dict[str, Any]
) -> None:
    other = again(visit).model_copy(update={"subject": visit.subject.model_copy(update=subject)})
    for where, what in ((visit, draft), (other, drafted("e" * 64, "captions"))):
        number = bring(library, staff, where, what)
        decide_all(library, staff, number)
        one = published(library, staff, number).edition
        assert (one.number, one.replaces) == (1, None)


def test_no_warning_is_lost_from_one_edition_to_the_next(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted
) -> None:
    first = bring(library, staff, visit, draft)
    decide_all(library, staff, first)
    with pytest.raises(ConflictError, match="let go i2: there is no edition before this one"):
        published(library, staff, first, "i2")
    published(library, staff, first)
    second = bring(library, staff, again(visit), _with_hose(drafted))
    decide_all(library, staff, second)
    lost = (
        r"edition 1: would be lost of its warnings: i2 \(never cut the orange cable, said as .*\)\. Borrow each .*"
        rf"`vouchbook publish {second} --let-go i2`"
    )
    with pytest.raises(ConflictError, match=lost):
        published(library, staff, second, "i7")
    for key, what in (("i1", "it is a .* of edition 1, no warning"), ("i99", "edition 1 has no item of that key")):
        with pytest.raises(ConflictError, match=f"let go {key}: {what}"):
            published(library, staff, second, "i2", key)
    edition = published(library, staff, second, "i2").edition
    assert [(item.key, item.as_vouched["text"]) for item in edition.let_go] == [("i2", "never cut the orange cable")]


def test_a_warning_that_two_people_rejected_is_not_lost_but_decided(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted
) -> None:
    first = bring(library, staff, visit, draft)
    decide_all(library, staff, first)
    published(library, staff, first)
    second = bring(library, staff, again(visit), drafted("e" * 64, "captions"))
    decide_all(library, staff, second, {"i2": DUPLICATE})
    edition = published(library, staff, second).edition
    assert ([item.key for item in edition.rejected], edition.let_go) == (["i2"], ())


def _with_hose(drafted: Drafted) -> Draft:
    draft = drafted("e" * 64, "captions", said=HOSE)
    warning = draft.items[1].model_copy(update={"text": "never touch the black hose"})
    return draft.model_copy(update={"items": (draft.items[0], warning, draft.items[2])})


def test_questions_are_carried_to_the_next_visit(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted
) -> None:
    """Whether its draft came before the edition that carries them, or after it; and no question twice."""
    first = bring(library, staff, visit, draft)
    early = bring(library, staff, again(visit), drafted("e" * 64, "captions"))
    decide_all(library, staff, first)
    published(library, staff, first)
    late = bring(library, staff, again(visit), drafted("d" * 64, "captions"))
    for number in (early, late):
        with library.reading() as session:
            asked = draft_questions(session, number)
            assert [(one.key, one.ask, one.carried_from) for one in asked] == [
                ("q1", "Is it the grey plug?", None), ("q2", "In a fire?", None),
                ("q3", "Is it the grey plug?", 1), ("q4", "In a fire?", 1),
            ]  # fmt: skip
            assert asked[2].quotes[0].quote == "grey"
    decide_all(library, staff, early, outcome="not needed")
    assert [one.carried_from for one in published(library, staff, early).edition.questions] == [None, None, 1, 1]
    with library.reading() as session:
        assert len(draft_questions(session, late)) == 4


@pytest.mark.parametrize(
    "change",
    [
        pytest.param("content = replace(content, 'grey', 'gray')", id="words"),
        pytest.param(f"content_sha256 = '{'0' * 64}'", id="hash"),
        pytest.param("reverify_on = '2050-01-01'", id="date"),
        pytest.param("number = 7", id="number"),
    ],
)
def test_an_edition_that_somebody_changes_in_the_database_is_found(
    library: Library, staff: Staff, visit: Visit, draft: Draft, change: str
) -> None:
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number)
    published(library, staff, number)
    if library.url.get_backend_name() == "postgresql":
        change = change.replace("replace(content, 'grey', 'gray')", "replace(content::text, 'grey', 'gray')::json")
    statement = f"UPDATE edition SET {change}"  # noqa: S608  the table above
    with pytest.raises(Exception, match="an edition never changes"), writer_of(library.engine).begin() as connection:
        connection.execute(text(statement))
    with writer_of(library.engine).begin() as connection:
        is_sqlite = connection.dialect.name == "sqlite"
        connection.execute(text("DROP TRIGGER edition_stays" + ("" if is_sqlite else " ON edition")))
        connection.execute(text(statement))
    with library.reading() as session:
        assert [number for number, _ in altered(session)] == [1]
        with pytest.raises(StoreError, match="edition 1"):
            edition_of(session, 1)


@pytest.mark.parametrize(
    "statement",
    [
        pytest.param("UPDATE decision SET verdict = 'confirmed', reason = NULL WHERE item_id = 3", id="verdict"),
        pytest.param("UPDATE decision SET undone_at = NULL, undone_by = NULL", id="taken-back-no-more"),
        pytest.param("DELETE FROM decision WHERE item_id = 1", id="deleted"),
        pytest.param("UPDATE decision SET person_id = 4 WHERE item_id = 1", id="another-person"),
        pytest.param("DELETE FROM sentence WHERE item_id = 1; DELETE FROM decision WHERE item_id = 1; "
                     "DELETE FROM item WHERE id = 1", id="item-deleted"),
    ],
)  # fmt: skip
def test_decisions_that_somebody_changes_in_the_database_are_not_published(
    library: Library, staff: Staff, visit: Visit, draft: Draft, statement: str
) -> None:
    number = bring(library, staff, visit, draft)
    with library.work(staff["reviewer"]) as work:
        decide(work, 1, 1, DUPLICATE)
        undo(work, 1, 2)
    decide_all(library, staff, number, {"i3": DUPLICATE})
    with writer_of(library.engine).begin() as connection:
        for part in statement.split("; "):
            connection.execute(text(part))
    with pytest.raises(StoreError, match=r"draft 1, item i[13]: .*Restore the last backup"):
        published(library, staff, number)


def test_a_withdrawn_edition_stays_and_is_marked(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number)
    published(library, staff, number)
    with library.work(staff["archivist"]) as work:
        done = withdraw(work, 1, "  the plug is \n on the other side ")
    assert (done.edition.state, done.edition.withdrawn_by, done.in_force_again) == ("withdrawn", "Alva", None)
    assert done.edition.withdrawn_reason == "the plug is on the other side"
    with library.reading() as session:
        assert edition_of(session, 1).number == 1
        assert in_force(session, 1) is None
        (one,) = find(session.connection(), parse("plug kind:step")).results
        assert (one.edition_number, one.edition_state) == (1, "withdrawn")
        assert (verify(session), list(altered(session))) == (None, [])
    with pytest.raises(ConflictError, match="withdrawn on 04 March 2031"), library.work(staff["archivist"]) as work:
        withdraw(work, 1, "again")


def test_after_a_withdrawal_the_draft_is_decided_anew_or_the_edition_before_holds(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted
) -> None:
    for where, what in ((visit, draft), (again(visit), drafted("e" * 64, "captions"))):
        number = bring(library, staff, where, what)
        decide_all(library, staff, number)
        published(library, staff, number)
    with library.work(staff["archivist"]) as work:
        done = withdraw(work, 2, "wrong machine")
    assert done.in_force_again is not None
    assert done.in_force_again.number == 1
    with library.work(staff["second"]) as work:
        assert undo(work, 5, 3).state.name == "waits for a second person"
        decide(work, 5, 4, CONFIRMED)
    assert (published(library, staff, 2).edition.number, published_replaces(library)) == (3, 1)


def published_replaces(library: Library) -> int | None:
    with library.reading() as session:
        return shelf(session)[0].replaces


@pytest.mark.parametrize("reason", ["", "  \n ", "x" * 2001, "bell \x07"])
def test_a_withdrawal_says_why(library: Library, staff: Staff, visit: Visit, draft: Draft, reason: str) -> None:
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number)
    published(library, staff, number)
    with pytest.raises(SettingError, match="Say why"), library.work(staff["archivist"]) as work:
        withdraw(work, 1, reason)


def test_there_is_nothing_to_withdraw(library: Library, staff: Staff) -> None:
    with pytest.raises(NotFoundError, match="edition 1"), library.work(staff["archivist"]) as work:
        withdraw(work, 1, "why")


@pytest.mark.parametrize(
    ("on", "within", "days"),
    [
        pytest.param(date(2033, 3, 3), 0, [], id="the-day-before"),
        pytest.param(date(2033, 3, 4), 0, [0], id="the-day"),
        pytest.param(date(2033, 4, 4), 0, [-31], id="overdue"),
        pytest.param(date(2033, 2, 2), 30, [30], id="within-a-month"),
        pytest.param(date(2033, 2, 1), 30, [], id="later-than-a-month"),
    ],
)
def test_what_is_due(
    library: Library, staff: Staff, on_shelf: datetime, on: date, within: int, days: list[int]
) -> None:
    assert on_shelf < datetime(2031, 3, 5, tzinfo=UTC)
    with library.reading() as session:
        assert [one.days_left for one in due(session, on, within)] == days
    with library.work(staff["archivist"]) as work:
        withdraw(work, 1, "gone")
    with library.reading() as session:
        assert due(session, on, within) == ()


@pytest.fixture
def on_shelf(library: Library, staff: Staff, visit: Visit, draft: Draft) -> datetime:
    """The time at which an edition was published."""
    number = bring(library, staff, visit, draft)
    decide_all(library, staff, number)
    return published(library, staff, number).edition.published.at
