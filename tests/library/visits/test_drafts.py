from collections.abc import Callable

import pytest
from sqlalchemy import select, text

from vouchbook.library.audit.journal import entries, head, verify
from vouchbook.library.open import Library
from vouchbook.library.store.open import writer_of
from vouchbook.library.store.tables import DecisionRow, DraftRow, ItemRow, QuestionRow, SentenceRow
from vouchbook.library.visits.drafts import add_draft, draft_of, find_draft, set_aside
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError, StoreError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Drafted = Callable[..., Draft]
Staff = dict[str, Actor]


def bring(library: Library, actor: Actor, visit: Visit, draft: Draft) -> int:
    with library.work(actor) as work:
        return add_draft(work, add_visit(work, visit), draft).draft_id


def sentences(library: Library) -> list[tuple[str, bool]]:
    with library.reading() as session:
        rows = session.scalars(select(SentenceRow).order_by(SentenceRow.id))
        return [(row.words, row.item_id is not None) for row in rows]


def indexed(library: Library) -> int:
    with library.reading() as session:
        return int(session.execute(text("SELECT count(*) FROM sentence_place")).scalar_one())


def test_a_draft_comes_out_as_it_went_in(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    number = bring(library, staff["officer"], visit, draft)
    with library.reading() as session:
        assert draft_of(session, number) == draft
        row = session.get_one(DraftRow, number)
        assert (row.number, row.state, row.drafted_by, row.visit_id) == (1, "open", 2, 1)


def test_its_items_and_questions_wait_for_decisions(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    bring(library, staff["officer"], visit, draft)
    with library.reading() as session:
        items = session.scalars(select(ItemRow).order_by(ItemRow.position)).all()
        questions = session.scalars(select(QuestionRow).order_by(QuestionRow.position)).all()
        found = [(row.key, row.kind, row.phase, row.signal, row.is_doubtful, row.state, row.version) for row in items]
        assert found == [
            ("i1", "cue", "identify", None, False, "open", 1),
            ("i2", "warning", "disable", "danger", False, "open", 1),
            ("i3", "step", "disable", None, True, "open", 1),
        ]
        assert [(row.key, row.kind, row.phase, row.state) for row in questions] == [
            ("q1", "doubtful", None, "open"), ("q2", "uncovered", "fire", "open"),
        ]  # fmt: skip
        assert [row.record for row in items] == [item.model_dump(mode="json") for item in draft.items]
        assert [(row.start_s, row.end_s) for row in items] == [(item.start, item.end) for item in draft.items]


def test_every_line_and_every_item_can_be_found(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    bring(library, staff["officer"], visit, draft)
    assert sentences(library) == [
        ("This is the Halden loader, you know it by the two green stripes.", False),
        ("Never cut the orange cable behind the seat, that kills you.", False),
        ("How do I get the plug out?", False),
        ("Pull the grey plug straight out with the insulated tongs.", False),
        ("two green stripes", True),
        ("never cut the orange cable", True),
        ("pull out grey plug \u00b7 insulated tongs", True),
    ]
    assert indexed(library) == 7


def test_the_same_draft_again_is_no_second_one(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    first = bring(library, staff["officer"], visit, draft)
    with library.reading() as session:
        before = head(session)
        assert find_draft(session, draft) is not None
    assert bring(library, staff["officer"], visit, draft) == first
    with library.reading() as session:
        assert head(session) == before
        assert len(session.scalars(select(DraftRow)).all()) == 1
    assert len(sentences(library)) == 7


def test_a_draft_belongs_to_one_visit(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    bring(library, staff["officer"], visit, draft)
    other = visit.model_copy(update={"key": new_key()})
    with pytest.raises(ConflictError, match=f"belongs to visit {visit.key}"):
        bring(library, staff["officer"], other, draft)
    with library.reading() as session:
        assert len([entry for entry in entries(session) if entry.what == "visit"]) == 1


def test_a_newer_draft_of_the_same_talk_takes_the_place_of_one_that_nobody_decided_on(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    bring(library, staff["officer"], visit, draft)
    newer = draft.model_copy(update={"subject": "read again"})
    number = bring(library, staff["officer"], visit, newer)
    with library.reading() as session:
        assert session.execute(select(DraftRow.number, DraftRow.state).order_by(DraftRow.number)).all() == [
            (1, "set aside"), (2, "open"),
        ]  # fmt: skip
        owners = set(session.scalars(select(SentenceRow.draft_id).where(SentenceRow.item_id.is_not(None))))
        assert owners == {number}
        assert verify(session) is None
    assert [is_item for _, is_item in sentences(library)].count(False) == 4
    assert indexed(library) == 7


def test_a_newer_draft_of_other_talk_adds_its_lines(
    library: Library, staff: Staff, visit: Visit, draft: Draft, drafted: Drafted
) -> None:
    bring(library, staff["officer"], visit, draft)
    said = tuple((voice, line.replace("grey", "red")) for voice, line in [
        ("Dov", "This is it, two grey stripes."), ("Dov", "Never cut it."), ("Ruta", "How?"),
        ("Dov", "Pull the grey plug straight out with the insulated tongs."),
    ])  # fmt: skip
    bring(library, staff["officer"], visit, drafted("e" * 64, "captions", said=said))
    assert [is_item for _, is_item in sentences(library)].count(False) == 8


def test_nobodys_decisions_are_lost_to_a_newer_draft(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    first = bring(library, staff["officer"], visit, draft)
    newer = draft.model_copy(update={"subject": "read again"})
    with library.work(staff["reviewer"]) as work:
        decision = DecisionRow(item_id=1, person_id=3, at=work.at, verdict="confirmed")
        work.session.add(decision)
        work.journal("confirmed", "item", 1)
    with pytest.raises(ConflictError, match="people are deciding on it"):
        bring(library, staff["officer"], visit, newer)
    with library.work(staff["officer"]) as work:
        set_aside(work, first, "heard badly")
    assert bring(library, staff["officer"], visit, newer) != first


def test_only_an_open_draft_is_set_aside(library: Library, staff: Staff, visit: Visit, draft: Draft) -> None:
    number = bring(library, staff["officer"], visit, draft)
    with library.work(staff["officer"]) as work:
        set_aside(work, number, "heard badly")
    with pytest.raises(ConflictError, match="it is set aside"), library.work(staff["officer"]) as work:
        set_aside(work, number, "again")


@pytest.mark.parametrize("role", ["reviewer", "archivist", "administrator"])
def test_drafts_come_from_officers(library: Library, staff: Staff, visit: Visit, draft: Draft, role: str) -> None:
    with library.work(staff["officer"]) as work:
        number = add_visit(work, visit)
    with pytest.raises(NotAllowedError, match="only an officer"), library.work(staff[role]) as work:
        add_draft(work, number, draft)


def test_a_draft_needs_its_visit(library: Library, staff: Staff, draft: Draft) -> None:
    with pytest.raises(NotFoundError, match="visit 7"), library.work(staff["officer"]) as work:
        add_draft(work, 7, draft)


def test_a_draft_that_somebody_changed_in_the_database_is_not_given_out(
    library: Library, staff: Staff, visit: Visit, draft: Draft
) -> None:
    number = bring(library, staff["officer"], visit, draft)
    with writer_of(library.engine).begin() as connection:
        whole = "UPDATE draft SET document = {}"
        cast = "CAST(replace(CAST(document AS text), 'grey', 'gray') AS json)"
        sqlite = "replace(document, 'grey', 'gray')"
        connection.execute(text(whole.format(sqlite if connection.dialect.name == "sqlite" else cast)))
    with library.reading() as session, pytest.raises(StoreError, match="not what was stored"):
        draft_of(session, number)


LONG = "schraube" * 150_000


@pytest.mark.parametrize(
    "line",
    [
        pytest.param("<script>alert('x')</script> &amp; {{7*7}} ${x}", id="script"),
        pytest.param("'; DROP TABLE item; -- %s :x ?", id="sql"),
        pytest.param("one\x01byte and \x1b[2J escape \x07", id="control characters"),
        pytest.param("../../../../etc/passwd", id="path"),
        pytest.param("\u202egnirts sdrawkcab\u202c \ufdd0 \U0001f9ef", id="direction and no character"),
        pytest.param(LONG, id="a word of a megabyte"),
        pytest.param("pull the plug " * 20_000, id="thousands of words"),
    ],
)
def test_hostile_words_are_kept_as_they_are_and_harm_nothing(
    library: Library, staff: Staff, visit: Visit, drafted: Drafted, line: str
) -> None:
    said = (("Dov\x07", line), ("Dov", "Never cut."), ("Ruta", "How?"), ("Dov", "a b c d e f g h i"))
    hostile = drafted("d" * 64, "captions", said=said)
    number = bring(library, staff["officer"], visit, hostile)
    with library.reading() as session:
        assert draft_of(session, number) == hostile
        first = session.scalars(select(SentenceRow).order_by(SentenceRow.id)).first()
        assert first is not None
        assert first.voice == "Dov"
        assert not {"\x01", "\x1b", "\x07"} & set(first.words)
        assert len(first.words) <= len(line)
        assert verify(session) is None
    assert len(sentences(library)) == 7
