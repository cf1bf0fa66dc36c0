from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.review.rules import Case, Department, Reviewer, may_decide, may_undo, state_of
from vouchbook.models.decisions import Decision

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
HOUSE, OFFICE = Department(), Department(is_one_person=True)
STEP: dict[str, Any] = {"phase": "access", "action": "undo", "object": "bolts", "size": "10 mm", "count": 2}
WARNING: dict[str, Any] = {
    "phase": "disable",
    "text": "never cut the orange cable",
    "hazard": "electric shock",
    "signal": "danger",
    "prohibits": "cut the orange cable",
}
CONFIRMED: dict[str, Any] = {"verdict": "confirmed"}
REJECTED: dict[str, Any] = {"verdict": "rejected", "reason": "unsafe"}
AUTHOR = 9


def _case(**fields: object) -> Case:
    basis = {"key": "i1", "kind": "step", "as_read": STEP, "authors": {AUTHOR}, "ranges": ((10, 14),)}
    return Case.model_validate(basis | fields)


def _danger(**fields: object) -> Case:
    return _case(**({"kind": "warning", "as_read": WARNING} | fields))


def _by(person: int, minute: int = 0, **fields: object) -> Decision:
    return Decision.model_validate({"item": "i1", "by": person, "at": AT + timedelta(minutes=minute)} | fields)


def _reviewer(person: int, *, heard: bool = True, roles: frozenset[str] = frozenset({"reviewer"})) -> Reviewer:
    return Reviewer(person=person, roles=roles, heard=((9, 15),) if heard else ())


@pytest.mark.parametrize(
    ("case", "decision", "department", "name", "reason"),
    [
        pytest.param(_case(), _by(1, **CONFIRMED), HOUSE, "confirmed", None, id="plain-step"),
        pytest.param(_case(), _by(1, **REJECTED), HOUSE, "rejected", None, id="rejected"),
        pytest.param(
            _case(), _by(1, verdict="amended", words={"action": "take out"}), HOUSE, "amended", None, id="verb"
        ),
        pytest.param(_case(), _by(1, verdict="amended", words={"size": "13 mm"}), HOUSE, None, "value", id="size"),
        pytest.param(_case(), _by(1, verdict="amended", words={"count": 3}), HOUSE, None, "value", id="count"),
        pytest.param(_case(), _by(AUTHOR, **CONFIRMED), HOUSE, None, "recorded", id="own-work"),
        pytest.param(_case(), _by(AUTHOR, **REJECTED), HOUSE, None, "recorded", id="own-work-rejected"),
        pytest.param(
            _case(), _by(AUTHOR, **CONFIRMED), OFFICE, "confirmed", None, id="own-work-in-a-one-person-office"
        ),
        pytest.param(_case(is_doubtful=True), _by(1, **CONFIRMED), HOUSE, None, "doubtful", id="doubtful"),
        pytest.param(_case(is_doubtful=True), _by(1, **REJECTED), HOUSE, "rejected", None, id="doubtful-rejected"),
        pytest.param(_case(origin="by hand"), _by(1, **CONFIRMED), HOUSE, None, "by hand", id="by-hand"),
        pytest.param(_danger(), _by(1, **CONFIRMED), HOUSE, None, "danger", id="danger"),
        pytest.param(_danger(), _by(1, **REJECTED), HOUSE, None, "danger", id="danger-rejected"),
        pytest.param(
            _danger(),
            _by(1, verdict="amended", words={"signal": "notice"}),
            HOUSE,
            None,
            "danger",
            id="danger-played-down",
        ),
        pytest.param(_danger(), _by(1, **CONFIRMED), OFFICE, "confirmed", None, id="danger-in-a-one-person-office"),
        pytest.param(
            _case(),
            _by(1, **CONFIRMED),
            Department(second_for_kinds=frozenset({"step"})),
            None,
            "settings",
            id="settings",
        ),
        pytest.param(
            _danger(as_read=WARNING | {"signal": "caution"}),
            _by(1, **CONFIRMED),
            Department(second_for_signals=frozenset({"caution"})),
            None,
            "settings",
            id="settings-signal",
        ),
    ],
)
def test_what_one_decision_makes_of_an_item(
    case: Case, decision: Decision, department: Department, name: str | None, reason: str | None
) -> None:
    state = state_of(case, [decision], department)
    assert state.name == (name or "waits for a second person")
    assert bool(state.needs) == (reason is not None)
    assert reason is None or reason in state.needs[0]


@pytest.mark.parametrize(
    ("decisions", "name", "disputed"),
    [
        pytest.param([], "open", 0, id="nothing"),
        pytest.param([_by(1, **CONFIRMED), _by(2, **CONFIRMED)], "confirmed", 0, id="two-agree"),
        pytest.param([_by(1, **REJECTED), _by(2, **REJECTED)], "rejected", 0, id="two-reject"),
        pytest.param([_by(1, **CONFIRMED), _by(1, **CONFIRMED)], "waits for a second person", 0, id="one-twice"),
        pytest.param([_by(1, **CONFIRMED), _by(2, **REJECTED)], "open", 2, id="two-disagree"),
        pytest.param(
            [_by(1, **CONFIRMED), _by(2, **REJECTED), _by(1, **REJECTED)],
            "waits for a second person",
            0,
            id="one-again",
        ),
        pytest.param(
            [_by(1, **CONFIRMED), _by(2, **REJECTED), _by(1, **REJECTED), _by(2, **REJECTED)],
            "rejected",
            0,
            id="then-they-agree",
        ),
        pytest.param(
            [_by(1, **CONFIRMED).undone(1, AT), _by(2, **CONFIRMED)],
            "waits for a second person",
            0,
            id="first-taken-back",
        ),
        pytest.param(
            [_by(1, verdict="amended", words={"text": "a"}), _by(2, verdict="amended", words={"text": "b"})],
            "open",
            2,
            id="other-words",
        ),
    ],
)
def test_what_several_decisions_make_of_a_danger_warning(decisions: list[Decision], name: str, disputed: int) -> None:
    state = state_of(_danger(), decisions, HOUSE)
    assert (state.name, len(state.disputed)) == (name, disputed)


@pytest.mark.parametrize(
    ("case", "decisions", "decision", "reviewer", "missing"),
    [
        pytest.param(_case(), [], _by(1, **CONFIRMED), _reviewer(1, heard=False), [], id="plain-step"),
        pytest.param(_danger(), [], _by(1, **CONFIRMED), _reviewer(1), [], id="danger-heard"),
        pytest.param(_danger(), [], _by(1, **CONFIRMED), _reviewer(1, heard=False), ["hearing"], id="danger-unheard"),
        pytest.param(_danger(), [], _by(1, **REJECTED), _reviewer(1, heard=False), ["hearing"], id="rejected-unheard"),
        pytest.param(
            _danger(can_be_heard=False), [], _by(1, **CONFIRMED), _reviewer(1, heard=False), [], id="nothing-to-hear"
        ),
        pytest.param(
            _case(is_doubtful=True), [], _by(1, **CONFIRMED), _reviewer(1, heard=False), ["hearing"], id="doubtful"
        ),
        pytest.param(
            _danger(), [_by(1, **CONFIRMED)], _by(1, **CONFIRMED), _reviewer(1), ["another person"], id="same-person"
        ),
        pytest.param(
            _danger(), [_by(1, **CONFIRMED)], _by(2, **CONFIRMED), _reviewer(2, heard=False), ["hearing"], id="second"
        ),
        pytest.param(
            _case(), [_by(1, **CONFIRMED)], _by(2, **REJECTED), _reviewer(2), ["decided already"], id="decided-already"
        ),
        pytest.param(_case(is_published=True), [], _by(1, **CONFIRMED), _reviewer(1), ["open draft"], id="published"),
        pytest.param(
            _case(), [], _by(1, **CONFIRMED), _reviewer(1, roles=frozenset({"officer"})), ["role"], id="no-reviewer"
        ),
        pytest.param(_case(), [], _by(2, **CONFIRMED), _reviewer(1), ["this item"], id="for-somebody-else"),
        pytest.param(
            _case(), [], _by(1, verdict="amended", words={"text": "x"}), _reviewer(1), ["sound words"], id="no-field"
        ),
        pytest.param(
            _case(), [], _by(1, verdict="amended", words={"count": 2}), _reviewer(1), ["sound words"], id="no-change"
        ),
        pytest.param(
            _case(), [], _by(1, verdict="amended", words={"action": "do not undo"}), _reviewer(1), ["sound words"],
            id="a-prohibition-is-no-step",
        ),
        pytest.param(
            _case(origin="other source", ranges=()), [], _by(1, **CONFIRMED), _reviewer(1), ["evidence"], id="no-source"
        ),
    ],
)  # fmt: skip
def test_what_stands_in_the_way_of_a_decision(
    case: Case, decisions: list[Decision], decision: Decision, reviewer: Reviewer, missing: list[str]
) -> None:
    refusals = may_decide(case, decisions, decision, reviewer, HOUSE)
    assert [refusal.missing for refusal in refusals] == missing
    assert all(refusal.sentence.endswith(".") and "\n" not in refusal.sentence for refusal in refusals)


@pytest.mark.parametrize(
    ("case", "decision", "reviewer", "missing"),
    [
        pytest.param(_case(), _by(1, **CONFIRMED), _reviewer(1), [], id="own"),
        pytest.param(_case(), _by(1, **CONFIRMED), _reviewer(2), ["own decision"], id="somebody-elses"),
        pytest.param(
            _case(), _by(1, **CONFIRMED), _reviewer(2, roles=frozenset({"administrator"})), [], id="administrator"
        ),
        pytest.param(_case(is_published=True), _by(1, **CONFIRMED), _reviewer(1), ["open draft"], id="published"),
        pytest.param(_case(), _by(1, **CONFIRMED).undone(1, AT), _reviewer(1), ["not taken back"], id="twice"),
    ],
)
def test_what_stands_in_the_way_of_taking_a_decision_back(
    case: Case, decision: Decision, reviewer: Reviewer, missing: list[str]
) -> None:
    assert [refusal.missing for refusal in may_undo(case, decision, reviewer)] == missing


ACTS = st.lists(
    st.tuples(
        st.sampled_from([1, 2, AUTHOR]),
        st.sampled_from(
            [CONFIRMED, REJECTED, {"verdict": "amended", "words": {"text": "leave the orange cable"}}, None]
        ),
        st.booleans(),
    ),
    max_size=12,
)


@given(ACTS)
def test_in_no_order_of_acts_does_one_person_settle_a_danger_warning(
    acts: list[tuple[int, dict[str, Any] | None, bool]],
) -> None:
    """Acts: a person decides, or takes back what they decided last; each passes the rules or does not happen."""
    case, taken = _danger(), list[Decision]()
    for minute, (person, verdict, heard) in enumerate(acts):
        reviewer = _reviewer(person, heard=heard)
        if verdict is None:
            own = [n for n, one in enumerate(taken) if not may_undo(case, one, reviewer)]
            if own:
                taken[own[-1]] = taken[own[-1]].undone(person, AT + timedelta(minutes=minute))
        else:
            decision = _by(person, minute, **verdict)
            refusals = may_decide(case, taken, decision, reviewer, HOUSE)
            assert heard or refusals
            if not refusals:
                taken.append(decision)
        state = state_of(case, taken, HOUSE)
        if state.name in ("confirmed", "amended", "rejected"):
            assert len({one.by for one in state.counted}) == 2
            assert {one.verdict for one in state.counted} == {state.name}
            assert all(one.undone_at is None and one in taken for one in state.counted)
        if state.disputed:
            assert state.name == "open"
