from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.audit.chain import START, Entry, Head, broken, canonical, hash_of, linked
from vouchbook.models.errors import SettingError

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)
Change = Callable[[list[Entry]], list[Entry]]


def chain(bodies: list[dict[str, Any]]) -> list[Entry]:
    entries: list[Entry] = []
    for at, body in enumerate(bodies):
        before = entries[-1] if entries else None
        entries.append(linked(before, AT + timedelta(seconds=at), at, "confirmed", ("item", str(at)), body))
    return entries


def with_changed(entries: list[Entry], place: int, **fields: object) -> list[Entry]:
    return [*entries[:place], entries[place].model_copy(update=fields), *entries[place + 1 :]]


def resealed(entries: list[Entry]) -> list[Entry]:
    """All hashes worked out anew, as somebody would who knows how."""
    out: list[Entry] = []
    for entry in entries:
        fresh = entry.model_copy(update={"seq": len(out) + 1, "before_hash": out[-1].own_hash if out else START})
        out.append(fresh.model_copy(update={"own_hash": hash_of(fresh)}))
    return out


def test_a_chain_holds() -> None:
    entries = chain([{"n": n} for n in range(5)])
    assert broken(entries) is None
    assert [entry.seq for entry in entries] == [1, 2, 3, 4, 5]
    assert entries[0].before_hash == START
    assert broken([]) is None


@pytest.mark.parametrize(
    ("change", "seq"),
    [
        pytest.param(lambda e: with_changed(e, 2, body={"n": 9}), 3, id="another body"),
        pytest.param(lambda e: with_changed(e, 2, at=AT), 3, id="another time"),
        pytest.param(lambda e: with_changed(e, 2, person=None), 3, id="another person"),
        pytest.param(lambda e: with_changed(e, 2, act="rejected"), 3, id="another act"),
        pytest.param(lambda e: with_changed(e, 2, what_id="7"), 3, id="another row"),
        pytest.param(lambda e: [*e[:2], *resealed(e)[2:3], *e[3:]], None, id="the same"),
        pytest.param(lambda e: e[1:], 1, id="first gone"),
        pytest.param(lambda e: [*e[:2], *e[3:]], 3, id="third gone"),
        pytest.param(lambda e: [*e[:2], e[3], e[2], e[4]], 3, id="moved"),
        pytest.param(lambda e: [*e[:2], *resealed([*e[:2], *e[3:]])[2:3], *e[3:]], 4, id="gone and one sealed anew"),
        pytest.param(
            lambda e: [*e[:2], e[3].model_copy(update={"seq": 3}), e[2].model_copy(update={"seq": 4}), e[4]],
            3, id="swapped with their numbers",
        ),
        pytest.param(lambda e: [*e, e[4]], 6, id="twice"),
    ],
)  # fmt: skip
def test_the_first_entry_that_does_not_hold_is_named(change: Change, seq: int | None) -> None:
    entries = chain([{"n": n} for n in range(5)])
    found = broken(change(entries))
    assert (found.seq if found else None) == seq


@pytest.mark.parametrize(
    ("change", "seq"),
    [
        pytest.param(lambda e: e[:4], 5, id="end cut off"),
        pytest.param(lambda e: e[:0], 1, id="all gone"),
        pytest.param(lambda e: resealed(with_changed(e, 1, body={"n": 9})), 5, id="changed and all sealed anew"),
        pytest.param(lambda e: resealed([*e[:1], *e[2:]]), 5, id="gone and all sealed anew"),
        pytest.param(lambda e: e, None, id="as it was"),
        pytest.param(lambda e: [*e, linked(e[-1], AT, 1, "confirmed", ("item", "1"), {})], None, id="grown"),
    ],
)
def test_a_head_that_was_kept_elsewhere_finds_what_the_chain_cannot(change: Change, seq: int | None) -> None:
    entries = chain([{"n": n} for n in range(5)])
    kept = Head.read(str(Head(seq=5, own_hash=entries[-1].own_hash)))
    changed = change(entries)
    assert broken(changed) is None
    found = broken(changed, [kept])
    assert (found.seq if found else None) == seq


def test_a_clock_that_goes_back_is_told_as_it_was_and_marked() -> None:
    first = linked(None, AT, 1, "confirmed", ("item", "1"), {})
    second = linked(first, AT - timedelta(hours=1), 1, "confirmed", ("item", "2"), {"n": 1})
    assert second.at == AT - timedelta(hours=1)
    assert second.body == {"n": 1, "clock_behind_s": 3600.0}
    assert broken([first, second]) is None


@given(st.lists(st.dictionaries(st.text(), JSON, max_size=3), min_size=1, max_size=4), st.data())
def test_any_bodies_hold_and_no_other_body_does(bodies: list[dict[str, Any]], data: st.DataObject) -> None:
    entries = chain(bodies)
    assert broken(entries) is None
    at = data.draw(st.integers(0, len(entries) - 1))
    other = data.draw(st.dictionaries(st.text(), JSON, max_size=3))
    if canonical(other) != canonical(dict(entries[at].body)):
        found = broken(with_changed(entries, at, body=other))
        assert found is not None
        assert found.seq == at + 1


@pytest.mark.parametrize("value", [float("nan"), float("inf"), {"at": AT}, {1, 2}])
def test_what_json_does_not_hold_is_refused(value: object) -> None:
    with pytest.raises((ValueError, TypeError)):
        canonical(value)


@pytest.mark.parametrize("line", ["", "vouchbook journal", "vouchbook journal x " + "a" * 64, "1 abc", "1 2 3"])
def test_a_line_that_is_no_head_is_refused(line: str) -> None:
    with pytest.raises(SettingError, match="journal head"):
        Head.read(line)
