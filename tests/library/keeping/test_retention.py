from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.holds import lift_hold, place_hold
from vouchbook.library.keeping.retention import Retention, due, let_go, retention, set_retention
from vouchbook.library.months import months_later
from vouchbook.library.open import Library
from vouchbook.library.store.tables import DraftRow, EditionRow, VisitRow
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import add_visit, new_key
from vouchbook.models.errors import ConflictError, NotAllowedError, SettingError
from vouchbook.models.people import Actor
from vouchbook.models.visits import MediumRole, Visit

Staff = dict[str, Actor]
Media = dict[str, str]
TODAY = date(2033, 3, 1)
"""Two years after the visit."""


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2031, 1, 31), 1, date(2031, 2, 28)),
        (date(2032, 1, 31), 1, date(2032, 2, 29)),
        (date(2031, 12, 1), 1, date(2032, 1, 1)),
        (date(2031, 3, 1), 24, date(2033, 3, 1)),
    ],
)
def test_a_month_later(day: date, months: int, later: date) -> None:
    assert months_later(day, months) == later


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(1, 1200))
def test_months_later_is_never_earlier_and_in_the_right_month(day: date, months: int) -> None:
    later = months_later(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day == day.day or (later + timedelta(days=1)).day == 1


def rule(library: Library, staff: Staff, *, spares_editions: bool = True, **months: int) -> None:
    with library.work(staff["administrator"]) as work:
        set_retention(work, Retention.model_validate({"months": months, "spares_editions": spares_editions}))


def due_roles(library: Library, media: Media, today: date = TODAY) -> list[str]:
    by_hash = {sha256: role for role, sha256 in media.items()}
    with library.reading() as session:
        return sorted(by_hash[one.sha256] for one in due(session, today) if one.may_go)


def test_nothing_is_due_where_nothing_is_set(library: Library, media_by_role: Media) -> None:
    with library.reading() as session:
        assert retention(session) == Retention()
    assert due_roles(library, media_by_role, date(2999, 1, 1)) == []


@pytest.mark.parametrize(
    ("today", "roles"),
    [(date(2032, 2, 29), []), (date(2032, 3, 1), ["still"]), (date(2033, 3, 1), ["recording", "still"])],
)
def test_media_are_due_by_what_they_are(
    library: Library, staff: Staff, media_by_role: Media, today: date, roles: list[str]
) -> None:
    rule(library, staff, recording=24, still=12)
    assert due_roles(library, media_by_role, today) == roles


def test_what_another_visit_still_needs_is_not_due(
    library: Library, staff: Staff, media_by_role: Media, visit: Visit
) -> None:
    rule(library, staff, recording=24)
    later = visit.model_copy(update={"key": new_key(), "held_on": date(2032, 1, 1)})
    role: MediumRole = "recording"
    with library.media.open(media_by_role["recording"]) as file:
        stored = library.media.add(file)
    with library.work(staff["officer"]) as work:
        attach(work, add_visit(work, later), stored, role, "again.mp4")
    assert due_roles(library, media_by_role) == []
    assert due_roles(library, media_by_role, date(2034, 1, 1)) == ["recording"]


def test_a_hold_keeps_what_is_due(library: Library, staff: Staff, media_by_role: Media, clock: object) -> None:
    rule(library, staff, recording=1)
    wind(clock, TODAY)
    with library.work(staff["archivist"]) as work:
        hold = place_hold(work, 1, "inquiry 7")
        assert work.get(VisitRow, 1, "visit").hold_count == 1
    assert due_roles(library, media_by_role) == []
    with pytest.raises(ConflictError, match="something keeps it"):
        let_go(library, staff["archivist"], [media_by_role["recording"]])
    with library.work(staff["archivist"]) as work:
        lift_hold(work, hold)
        assert work.get(VisitRow, 1, "visit").hold_count == 0
    let_go(library, staff["archivist"], [media_by_role["recording"]])
    assert not library.media.path(media_by_role["recording"]).exists()
    with library.work(staff["archivist"]) as work, pytest.raises(ConflictError, match="lifted before"):
        lift_hold(work, hold)


def publish(library: Library, staff: Staff) -> None:
    with library.work(staff["archivist"]) as work:
        draft = work.get(DraftRow, 1, "draft")
        work.session.add(
            EditionRow(
                subject_id=1, visit_id=draft.visit_id, draft_id=1, number=1, content={}, content_sha256="0" * 64,
                published_at=work.at, published_by=work.person_id(), reverify_on=TODAY,
            )
        )  # fmt: skip
        work.journal("published", "edition", 1)


@pytest.mark.parametrize(("spares_editions", "roles"), [(True, []), (False, ["recording"])])
def test_what_an_edition_in_force_rests_on_stays(
    library: Library, staff: Staff, media_by_role: Media, *, spares_editions: bool, roles: list[str]
) -> None:
    rule(library, staff, recording=1, spares_editions=spares_editions)
    publish(library, staff)
    assert due_roles(library, media_by_role) == roles
    with library.work(staff["archivist"]) as work:
        edition = work.get(EditionRow, 1, "edition")
        edition.withdrawn_at, edition.withdrawn_by, edition.withdrawn_reason = work.at, 5, "old"
        work.journal("withdrew", "edition", 1)
    assert due_roles(library, media_by_role) == ["recording"]


def test_an_edition_is_in_force_again_when_the_one_that_replaced_it_is_withdrawn(
    library: Library, staff: Staff, media_by_role: Media
) -> None:
    rule(library, staff, recording=1)
    publish(library, staff)
    with library.work(staff["archivist"]) as work:
        first = work.get(EditionRow, 1, "edition")
        newer = EditionRow(
            subject_id=1, visit_id=first.visit_id, draft_id=1, number=2, content={}, content_sha256="1" * 64,
            published_at=work.at, published_by=5, reverify_on=TODAY, replaces_id=1,
            withdrawn_at=work.at, withdrawn_by=5, withdrawn_reason="wrong machine",
        )  # fmt: skip
        work.session.add(newer)
        work.journal("withdrew", "edition", 2)
    assert due_roles(library, media_by_role) == []


def test_what_goes_goes_on_the_record_and_by_a_person(
    library: Library, staff: Staff, media_by_role: Media, clock: object
) -> None:
    rule(library, staff, recording=1)
    wind(clock, TODAY)
    recording = media_by_role["recording"]
    with pytest.raises(NotAllowedError):
        let_go(library, staff["officer"], [recording])
    with pytest.raises(ConflictError, match="not due"):
        let_go(library, staff["archivist"], [recording, media_by_role["still"]])
    assert library.media.path(recording).exists()
    (gone,) = let_go(library, staff["archivist"], [recording])
    assert (gone.sha256, gone.what, gone.reason) == (recording, "removed", "kept as long as the rules say")
    with library.reading() as session:
        last = list(entries(session))[-1]
        assert (last.act, last.what, last.what_id, last.person) == ("removed", "medium", recording, 5)
        assert verify(session) is None


def test_nothing_goes_while_the_clock_has_gone_back(
    library: Library, staff: Staff, media_by_role: Media, clock: object
) -> None:
    rule(library, staff, recording=1)
    wind(clock, TODAY)
    with library.work(staff["archivist"]) as work:
        work.journal("looked", "setting", "retention")
    wind(clock, TODAY - timedelta(days=300))
    with pytest.raises(ConflictError, match=r"the clock says .* 2032, before the last entry"):
        let_go(library, staff["archivist"], [media_by_role["recording"]])
    assert library.media.path(media_by_role["recording"]).exists()


@pytest.mark.parametrize("months", [0, -1, 1201])
def test_months_that_are_none_are_refused(library: Library, staff: Staff, months: int) -> None:
    with library.work(staff["administrator"]) as work, pytest.raises(SettingError, match="are none"):
        set_retention(work, Retention(months={"recording": months}))


def test_a_hold_has_a_reason_that_the_journal_does_not_repeat(library: Library, staff: Staff, visit_id: int) -> None:
    with library.work(staff["archivist"]) as work, pytest.raises(SettingError, match="no reason"):
        place_hold(work, visit_id, "  ")
    with library.work(staff["archivist"]) as work:
        place_hold(work, visit_id, "the case of Dov Almar")
    with library.reading() as session:
        last = list(entries(session))[-1]
    assert (last.act, last.body) == ("placed a hold on", {"hold": 1})


def wind(clock: object, day: date) -> None:
    at = clock.at  # type: ignore[attr-defined]
    clock.at = at.replace(year=day.year, month=day.month, day=day.day)  # type: ignore[attr-defined]
