from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.editions.difference import difference
from vouchbook.models.editions import VouchedItem

MakeItem = Callable[..., VouchedItem]
Lines = list[tuple[str, dict[str, Any]]]

PLUG: tuple[str, dict[str, Any]] = ("step", {"action": "pull", "object": "service plug", "phase": "disable"})
CHOCK: tuple[str, dict[str, Any]] = ("step", {"action": "chock", "object": "back axle", "count": 2})
COVER: tuple[str, dict[str, Any]] = ("step", {"action": "undo", "object": "cover bolts", "size": "10 mm", "count": 4})
HOT: tuple[str, dict[str, Any]] = ("warning", {"text": "the exhaust stays hot for an hour"})
SOCKET: tuple[str, dict[str, Any]] = ("tool", {"name": "socket", "fastener": "cover bolt", "size": "10 mm"})
SWITCH: tuple[str, dict[str, Any]] = ("location", {"part": "main switch", "place": "behind the flap"})
ALL = [PLUG, CHOCK, COVER, HOT, SOCKET, SWITCH]


def _but(line: tuple[str, dict[str, Any]], **fields: object) -> tuple[str, dict[str, Any]]:
    return line[0], line[1] | fields


@pytest.mark.parametrize(
    ("old", "new", "changed", "counts"),
    [
        pytest.param(ALL, ALL, {}, (0, 0, 0), id="the-same"),
        pytest.param(ALL, [*ALL, ("cue", {"text": "a green flag"})], {}, (0, 1, 0), id="new"),
        pytest.param(ALL, [PLUG, CHOCK, COVER, SOCKET, SWITCH], {}, (0, 0, 1), id="gone"),
        pytest.param([COVER], [_but(COVER, size="13 mm")], {"size": ("10 mm", "13 mm")}, (0, 0, 0), id="size"),
        pytest.param([COVER], [_but(COVER, count=6)], {"count": (4, 6)}, (0, 0, 0), id="count"),
        pytest.param([COVER], [_but(COVER, size=None)], {"size": ("10 mm", None)}, (0, 0, 0), id="size-gone"),
        pytest.param([COVER], [_but(COVER, action="take out")], {"action": ("undo", "take out")}, (0, 0, 0), id="verb"),
        pytest.param(
            [SWITCH],
            [_but(SWITCH, place="under the seat")],
            {"place": ("behind the flap", "under the seat")}, (0, 0, 0), id="place",
        ),
        pytest.param(
            [HOT],
            [_but(HOT, signal="danger")],
            {"signal": ("warning", "danger")}, (0, 0, 0), id="signal",
        ),
        pytest.param([PLUG, CHOCK, COVER], [CHOCK, COVER, PLUG], {}, (1, 0, 0), id="one-step-moved"),
        pytest.param([PLUG, SWITCH, SOCKET], [SOCKET, SWITCH, PLUG], {}, (0, 0, 0), id="tools-have-no-order"),
        pytest.param([CHOCK], [HOT], {}, (0, 1, 1), id="another-kind-is-another-item"),
        pytest.param([PLUG], [_but(PLUG, object="tail lift")], {}, (0, 1, 1), id="another-thing"),
        pytest.param(
            [_but(SOCKET, size="10 mm"), _but(SOCKET, size="13 mm")],
            [_but(SOCKET, size="13 mm"), _but(SOCKET, size="10 mm")],
            {}, (0, 0, 0), id="two-sizes-find-their-own",
        ),
        pytest.param([], ALL, {}, (0, 6, 0), id="from-nothing"),
    ],
)  # fmt: skip
def test_what_changed_between_two_editions(
    item: MakeItem,
    old: Lines,
    new: Lines,
    changed: dict[str, tuple[Any, Any]],
    counts: tuple[int, int, int],
) -> None:
    found = difference(
        [item(n, kind, **fields) for n, (kind, fields) in enumerate(old)],
        [item(n, kind, **fields) for n, (kind, fields) in enumerate(new)],
    )
    fields = {change.field: (change.before, change.after) for one in found.changed for change in one.changes}
    assert fields == changed
    assert (sum(one.moved for one in found.changed), len(found.new), len(found.gone)) == counts, "moved, new, gone"
    assert found.is_empty == (not changed and not any(counts))


def test_a_gone_warning_is_told_by_itself(item: MakeItem) -> None:
    old = [item(n, kind, **fields) for n, (kind, fields) in enumerate(ALL)]
    found = difference(old, old[:3])
    assert [one.as_vouched["text"] for one in found.gone_warnings] == [HOT[1]["text"]]


def test_a_change_is_told_word_by_word(item: MakeItem) -> None:
    found = difference(
        [item(1, *SWITCH[:1], **SWITCH[1])], [item(1, "location", **SWITCH[1] | {"place": "behind the hatch"})]
    )
    (change,) = found.changed[0].changes
    assert [(piece.what, piece.words) for piece in change.pieces] == [
        ("kept", "behind the"),
        ("out", "flap"),
        ("in", "hatch"),
    ]


THINGS = st.sampled_from(["cover bolts", "cover bolt", "rear latch", "service plug", "hose", "left hose", "right hose"])
LINES = st.lists(
    st.one_of(
        st.tuples(
            st.just("step"),
            st.fixed_dictionaries(
                {"action": st.sampled_from(["undo", "pull"]), "object": THINGS, "count": st.sampled_from([None, 2])}
            ),
        ),
        st.tuples(st.just("warning"), st.fixed_dictionaries({"text": THINGS})),
        st.tuples(st.just("location"), st.fixed_dictionaries({"part": THINGS, "place": THINGS})),
    ),
    max_size=9,
)  # fmt: skip


@given(LINES)
def test_an_edition_does_not_differ_from_itself(item: MakeItem, lines: Lines) -> None:
    items = [item(n, kind, **fields) for n, (kind, fields) in enumerate(lines)]
    found = difference(items, items)
    assert found.is_empty
    assert found.same == len(items)


@given(LINES, LINES)
def test_nothing_is_lost_between_two_editions(item: MakeItem, one: Lines, other: Lines) -> None:
    """Each item of either side is told once: as gone or new, as changed, or among those that are the same."""
    old = [item(n, kind, **fields) for n, (kind, fields) in enumerate(one)]
    new = [item(n, kind, **fields) for n, (kind, fields) in enumerate(other)]
    found = difference(old, new)
    told_old = [i.key for i in found.gone] + [c.before.key for c in found.changed]
    told_new = [i.key for i in found.new] + [c.after.key for c in found.changed]
    assert len(set(told_old)) == len(told_old) == len(old) - found.same
    assert len(set(told_new)) == len(told_new) == len(new) - found.same
    for changed in found.changed:
        after = changed.before.as_vouched | {change.field: change.after for change in changed.changes}  # type: ignore[operator]
        assert after == changed.after.as_vouched
