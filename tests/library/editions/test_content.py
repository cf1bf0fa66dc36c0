from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from vouchbook.library.editions.content import (
    DecidedCase,
    asked,
    canonical_json,
    content_sha256,
    edition_items,
    in_safe_order,
    one_person_note,
    reverify_on,
    settled_questions,
    still_open,
)
from vouchbook.library.review.rules import Case, Department, state_of
from vouchbook.models.decisions import Decision, Settlement
from vouchbook.models.draft import CAUTION
from vouchbook.models.editions import Bonds, Edition, VouchedItem
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion

MakeItem = Callable[..., VouchedItem]
AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
NAMES = {1: "Ilse Marn", 2: "Odo Fenn"}
QUOTE = {"first_word": 0, "last_word": 2, "quote": "take it off", "start_s": 1, "end_s": 2}
STEP = {"phase": "access", "action": "undo", "object": "rear latch", "size": "10 mm"}
DANGER = {"phase": "access", "text": "the latch will take your hand off", "hazard": "crush", "signal": "danger"}
QUESTION = asked(
    OpenQuestion(id="q1", kind="uncovered", start=0, end=9, about="fire", ask="What in a fire?", phase=Phase.FIRE)
)


def _decided(key: str, kind: str, as_read: dict[str, Any], *verdicts: dict[str, Any]) -> DecidedCase:
    case = Case.model_validate({"key": key, "kind": kind, "as_read": as_read})
    decisions = [
        Decision.model_validate({"item": key, "by": person, "at": AT} | verdict)
        for person, verdict in enumerate(verdicts, start=1)
    ]
    return DecidedCase.model_validate(
        {"case": case, "state": state_of(case, decisions, Department()), "quotes": (QUOTE,)}
    )


CONFIRMED = {"verdict": "confirmed"}
UNSAFE = {"verdict": "rejected", "reason": "unsafe", "note": "not this latch"}
AMENDED = {"verdict": "amended", "words": {"size": "13 mm"}}
CARRIED = {"q1": Settlement(question="q1", by=2, at=AT, outcome="carried")}


def _edition(**fields: object) -> Edition:
    items, rejected = edition_items(
        [_decided("i1", "step", STEP, AMENDED, AMENDED), _decided("i2", "warning", DANGER, UNSAFE, UNSAFE)], NAMES
    )
    basis = {
        "subject": {"kind": "truck", "maker": "Norvik", "model": "Hauler"},
        "number": 2,
        "replaces": 1,
        "visit": {"key": "v-1", "held_on": date(2031, 3, 1), "draft": 1, "draft_sha256": "a" * 64},
        "published": {"person": 1, "name": "Ilse Marn", "at": AT},
        "reverify_on": date(2033, 3, 4),
        "items": items,
        "rejected": rejected,
        "questions": settled_questions([QUESTION], CARRIED, NAMES),
    }
    return Edition.model_validate(basis | fields)


def test_an_edition_shows_words_as_vouched_by_whom_and_what_was_read() -> None:
    (one,) = _edition().items
    assert (one.as_read["size"], one.as_vouched["size"], one.quotes[0].quote) == ("10 mm", "13 mm", "take it off")
    assert (one.first.name, one.second and one.second.name) == ("Ilse Marn", "Odo Fenn")
    assert [change.field for change in one.changes] == ["size"]


def test_a_rejected_danger_warning_stays_in_the_edition_with_its_reason() -> None:
    (one,) = _edition().rejected
    assert (one.as_read["text"], one.reason, one.note) == (DANGER["text"], "unsafe", "not this latch")


def test_an_edition_carries_the_caution_and_its_questions() -> None:
    edition = _edition()
    assert edition.caution == CAUTION
    assert [(q.ask, q.outcome, q.settled.name) for q in edition.questions] == [
        ("What in a fire?", "carried", "Odo Fenn")
    ]


def test_a_stored_edition_has_the_same_hash() -> None:
    edition = _edition()
    again = Edition.model_validate_json(canonical_json(edition))
    assert again == edition
    assert content_sha256(again) == content_sha256(edition)


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"number": 3}, id="number"),
        pytest.param({"items": ()}, id="items"),
        pytest.param({"rejected": ()}, id="rejected"),
        pytest.param({"questions": ()}, id="questions"),
        pytest.param({"one_person_note": "alone"}, id="note"),
        pytest.param({"reverify_on": date(2033, 3, 5)}, id="date"),
    ],
)
def test_any_change_changes_the_hash(fields: dict[str, Any]) -> None:
    assert content_sha256(_edition(**fields)) != content_sha256(_edition())


def test_an_edition_never_replaces_a_later_one() -> None:
    with pytest.raises(ValidationError, match="cannot replace"):
        _edition(replaces=2)


def test_an_item_that_is_not_decided_enters_no_edition() -> None:
    with pytest.raises(ValueError, match="i2 is not decided"):
        edition_items([_decided("i2", "warning", DANGER, CONFIRMED)], NAMES)


@pytest.mark.parametrize(
    ("cases", "settlements", "keys"),
    [
        pytest.param([_decided("i1", "step", STEP, CONFIRMED)], CARRIED, [], id="all-decided"),
        pytest.param([_decided("i1", "step", STEP)], CARRIED, ["i1"], id="undecided"),
        pytest.param([_decided("i2", "warning", DANGER, CONFIRMED)], CARRIED, ["i2"], id="second-person"),
        pytest.param([_decided("i2", "warning", DANGER, CONFIRMED, UNSAFE)], CARRIED, ["i2"], id="disputed"),
        pytest.param([_decided("i1", "step", STEP, CONFIRMED)], {}, ["q1"], id="question"),
        pytest.param(
            [_decided("i1", "step", STEP, CONFIRMED)], {"q1": CARRIED["q1"].undone(1, AT)}, ["q1"], id="taken-back"
        ),
        pytest.param([_decided("i1", "step", STEP), _decided("i3", "step", STEP)], {}, ["i1", "i3", "q1"], id="all"),
        pytest.param([_decided("i1", "step", STEP, UNSAFE)], CARRIED, [""], id="nothing-confirmed"),
    ],
)
def test_everything_that_is_still_open_is_named(
    cases: list[DecidedCase], settlements: dict[str, Settlement], keys: list[str]
) -> None:
    found = still_open(cases, [QUESTION], settlements)
    assert [one.key for one in found] == keys
    assert all(one.key in one.sentence for one in found)


@pytest.mark.parametrize(
    ("guards", "order"),
    [
        pytest.param({}, "i0 i1 i2 i3 i4", id="about-the-whole-topic"),
        pytest.param({3: "i1"}, "i0 i3 i1 i2 i4", id="before-its-step"),
        pytest.param({3: "i2 i1"}, "i0 i3 i1 i2 i4", id="before-the-first-of-several"),
        pytest.param({3: "i1", 4: "i1"}, "i0 i3 i4 i1 i2", id="two-of-one-step-in-their-order"),
        pytest.param({3: "i2", 4: "i1"}, "i0 i4 i1 i3 i2", id="each-before-its-own"),
        pytest.param({4: "i9"}, "i0 i1 i2 i3 i4", id="a-step-that-was-rejected"),
    ],
)
def test_a_warning_stands_before_the_steps_that_it_guards(item: MakeItem, guards: dict[int, str], order: str) -> None:
    """Steps 0 to 2, then warnings 3 and 4."""
    items = [item(n, "step", action="lift", object="lid") for n in range(3)]
    items += [item(n, "warning", text="it bites") for n in (3, 4)]
    items = [
        one.model_copy(update={"bonds": Bonds(guards=tuple(guards.get(n, "").split()))}) for n, one in enumerate(items)
    ]
    assert " ".join(one.key for one in in_safe_order(items)) == order


@given(st.lists(st.one_of(st.none(), st.sets(st.integers(0, 9))), max_size=10))
def test_steps_keep_their_order_and_nothing_is_lost(item: MakeItem, lines: list[set[int] | None]) -> None:
    """Each line is a step, or a warning with the places of what it guards."""
    items = [
        item(n, "step", action="lift", object="lid")
        if guarded is None
        else item(n, "warning", text="mind it").model_copy(
            update={"bonds": Bonds(guards=tuple(f"i{step}" for step in guarded))}
        )
        for n, guarded in enumerate(lines)
    ]
    found = in_safe_order(items)
    keys = [one.key for one in found]
    assert sorted(keys) == sorted(one.key for one in items)
    assert [one.key for one in found if one.kind == "step"] == [one.key for one in items if one.kind == "step"]
    steps = {one.key for one in items if one.kind == "step"}
    for warning in (one for one in found if one.kind == "warning"):
        assert all(keys.index(warning.key) < keys.index(step) for step in steps & set(warning.bonds.guards))


BOUND = {
    "i1": Bonds(),
    "i2": Bonds(guards=("i1", "i4"), signal_reason="it will kill"),
    "i4": Bonds(branch="if it sticks", instead_of=("i1",)),
}


@pytest.mark.parametrize(
    ("verdicts", "order", "bonds"),
    [
        pytest.param((CONFIRMED, CONFIRMED, CONFIRMED), "i2 i1 i4", BOUND["i2"], id="all"),
        pytest.param((UNSAFE, CONFIRMED, CONFIRMED), "i2 i4", Bonds(guards=("i4",), signal_reason="it will kill"),
                     id="a-guarded-step-is-rejected"),
        pytest.param((UNSAFE, CONFIRMED, UNSAFE), "i2", Bonds(signal_reason="it will kill"),
                     id="a-warning-outlives-its-steps"),
        pytest.param((CONFIRMED, {"verdict": "amended", "words": {"signal": "warning"}}, CONFIRMED), "i2 i1 i4",
                     Bonds(guards=("i1", "i4")), id="no-reason-for-a-signal-that-a-person-chose"),
    ],
)  # fmt: skip
def test_an_edition_binds_items_as_the_draft_did(
    verdicts: tuple[dict[str, Any], ...], order: str, bonds: Bonds
) -> None:
    kinds: tuple[tuple[str, str, dict[str, Any]], ...] = (
        ("i1", "step", STEP), ("i2", "warning", DANGER), ("i4", "step", STEP),
    )  # fmt: skip
    cases = [
        _decided(key, kind, fields, verdict, verdict).model_copy(update={"bonds": BOUND[key]})
        for (key, kind, fields), verdict in zip(kinds, verdicts, strict=True)
    ]
    items, rejected = edition_items(cases, NAMES)
    assert " ".join(one.key for one in items) == order
    assert next(one.bonds for one in items if one.key == "i2") == bonds
    assert [one.bonds.branch for one in items if one.key == "i4"] in ([], ["if it sticks"])
    assert _edition(items=items, rejected=rejected).items == items


@pytest.mark.parametrize(
    ("bonds", "said"),
    [
        pytest.param({"i2": {"guards": ("i9",)}}, "no step of this edition", id="unknown-step"),
        pytest.param({"i2": {"guards": ("i1",)}}, "wrong side of i1", id="warning-behind-its-step"),
        pytest.param({"i1": {"branch": "if stuck", "instead_of": ("i3",)}}, "wrong side of i3", id="way-before"),
    ],
)
def test_an_edition_in_an_unsafe_order_cannot_exist(item: MakeItem, bonds: dict[str, Any], said: str) -> None:
    items = [
        item(1, "step", action="lift", object="lid"),
        item(2, "warning", text="it bites"),
        item(3, "step", action="turn", object="key"),
    ]
    bound = tuple(one.model_copy(update={"bonds": Bonds.model_validate(bonds.get(one.key, {}))}) for one in items)
    with pytest.raises(ValidationError, match=said):
        _edition(items=bound, rejected=())


@pytest.mark.parametrize(
    ("published", "months", "due"),
    [
        pytest.param(date(2031, 3, 4), {}, date(2033, 3, 4), id="24-at-first"),
        pytest.param(date(2031, 3, 4), {"lift": 6}, date(2033, 3, 4), id="another-kind"),
        pytest.param(date(2031, 11, 30), {"truck": 3}, date(2032, 2, 29), id="no-such-day"),
        pytest.param(date(2031, 12, 1), {"truck": 12}, date(2032, 12, 1), id="over-the-year"),
    ],
)
def test_the_day_on_which_an_edition_is_due_again(published: date, months: dict[str, int], due: date) -> None:
    assert reverify_on(published, "truck", Department(reverify_months=months)) == due


def test_a_one_person_office_says_so() -> None:
    assert one_person_note(Department()) is None
    assert "one person" in (one_person_note(Department(is_one_person=True)) or "")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        pytest.param({"as_vouched": STEP | {"action": "never undo"}}, "is a warning", id="a-prohibition"),
        pytest.param({"as_vouched": STEP | {"action": None}}, "action is empty", id="no-action"),
        pytest.param({"as_vouched": STEP | {"count": 0}}, "no count", id="count-of-none"),
        pytest.param({"as_vouched": STEP | {"text": "x"}}, "has no text", id="field-of-another-kind"),
        pytest.param({"as_vouched": STEP | {"size": "17 mm"}}, "not those that were made", id="a-change-not-told"),
        pytest.param({"bonds": {"guards": ("i3",)}}, "only a warning guards", id="a-step-that-guards"),
        pytest.param({"bonds": {"instead_of": ("i3",)}}, "says when", id="another-way-without-when"),
        pytest.param({"quotes": ()}, "has the words", id="no-evidence"),
        pytest.param({"quotes": (), "origin": "other source"}, "names its source", id="no-source"),
        pytest.param({"second": {"person": 1, "name": "Ilse Marn", "at": AT}}, "another", id="one-person-twice"),
    ],
)
def test_a_vouched_item_that_is_not_sound_cannot_exist(fields: dict[str, Any], said: str) -> None:
    (one,) = _edition().items
    with pytest.raises(ValidationError, match=said):
        VouchedItem.model_validate(one.model_dump() | fields)
