"""The plain readers read, and what they make of a talk is a draft that any scorer can take."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from reading.drafts import draft_of
from reading.findings import Finding, Reader
from reading.imperatives import Imperatives
from reading.keywords import Keywords
from reading.layers import Layers
from reading.open_sets import OpenSet, lab_actions, measured, repair_parts, rows, work_orders
from reading.patterns import Patterns
from reading.walk_throughs import talk_table, write_drafts
from reading.written import written

from vouchbook.models.draft import draft_from_json

GOLD = Path(__file__).parents[1] / "gold" / "open"
MAKERS: tuple[Callable[[], Reader], ...] = (Layers, Patterns, Keywords, Imperatives)


@pytest.fixture(scope="module", params=MAKERS, ids=lambda make: make.__name__.lower())
def reader(request: pytest.FixtureRequest) -> Reader:
    made: Reader = request.param()
    return made


def test_every_reader_reads_an_order_with_its_thing(reader: Reader) -> None:
    text = written(["Remove", "the", "grey", "cover", "."])
    (step,) = (found for found in reader.read(text.transcript) if found.kind == "step")
    assert (step.verb, step.fields["action"], step.thing) == (0, "remove", (2, 3))


def test_no_reader_takes_a_plain_prohibition_for_a_step(reader: Reader) -> None:
    text = written("Never cut the orange cable .".split())
    assert [found for found in reader.read(text.transcript) if found.kind == "step"] == []


def test_every_reader_takes_an_empty_text(reader: Reader) -> None:
    assert list(reader.read(written([]).transcript)) == []


def test_every_reader_makes_drafts_that_hold_their_quotes(reader: Reader, tmp_path: Path) -> None:
    """Reading a stored draft checks each quote against the transcript."""
    gold = tmp_path / "gold"
    gold.mkdir()
    for name in ("delivery-trike.vtt", "delivery-trike.gold.json"):
        (gold / name).write_bytes((GOLD / name).read_bytes())
    write_drafts(gold, reader, tmp_path)
    draft = draft_from_json((tmp_path / "delivery-trike.json").read_text(encoding="utf-8"), "delivery-trike.json")
    assert len(draft.items) > 5


@pytest.mark.parametrize("make", [Patterns, Keywords], ids=["patterns", "keywords"])
def test_a_named_tool_has_the_size_said_before_it(make: Callable[[], Reader]) -> None:
    (tool,) = (f for f in make().read(written("use a 10 mm socket .".split()).transcript) if f.kind == "tool")
    assert (tool.size, tool.is_implied) == ("10 mm", False)


def test_a_step_without_a_thing_and_a_repeat_make_no_item() -> None:
    text = written("lift the lid now".split()).transcript
    step = Finding("step", (0, 2), {"action": "lift", "object": "lid"})
    bare = Finding("step", (3, 3), {"action": "lift", "object": ""})
    assert [item.quote for item in draft_of(text, [step, step, bare], "test").items] == ["lift the lid"]


def test_removed_parts_and_counts_are_compared_by_tokens() -> None:
    text = written("Undo it . Remove two bolts .".split())
    step = Finding("step", (2, 4), {"action": "remove", "object": "two bolts"}, verb=2, thing=(3, 4), count=2)
    row = {
        "parts": [{"span": [4, 5], "fastener": {"kind": "bolt", "count": 2}}],
        "verbs": [{"span": [3, 3]}],
    }
    compared = {name: (list(gold), list(found)) for name, gold, found in repair_parts(row, text, [step])}
    assert compared == {
        "removed part": ([(4, 5)], [(4, 5)]),
        "removed part, last word": ([5], [5]),
        "removal verb": ([(3, 3)], [(3, 3)]),
        "fastener and count": ([("bolt", 2)], [("bolt", 2)]),
    }


def test_a_nested_class_of_a_work_order_counts_by_its_first_name() -> None:
    row = {
        "entities": [{"start": 0, "end": 2, "type": "PhysicalObject/Moving"}, {"start": 2, "end": 3, "type": "State"}]
    }
    found = [Finding("part", (0, 1)), Finding("state", (1, 1))]
    compared = {
        name: (set(gold), set(given)) for name, gold, given in work_orders(row, written("a b c".split()), found)
    }
    assert compared["part"] == ({(0, 1)}, {(0, 1)})
    assert compared["state"] == ({(2, 2)}, {(1, 1)})
    assert compared["activity"] == (set(), set())


def test_a_set_is_measured_over_all_its_rows(tmp_path: Path) -> None:
    file = tmp_path / "lab.jsonl"
    file.write_text(
        '{"tokens": ["Mix", "the", "acid", "."], "tags": ["B-Action", "O", "O", "O"]}\n'
        '{"tokens": ["It", "is", "blue"], "tags": ["O", "B-Action", "O"]}\n',
        encoding="utf-8",
    )
    tally = measured(OpenSet(file.name, "lab", ("action",), lab_actions), rows(file), Keywords())
    assert (tally["action"].right, tally["action"].found, tally["action"].gold) == (1, 1, 2)


def test_the_table_of_talks_has_a_column_for_each_reader() -> None:
    row = {"precision": 0.5, "recall": 0.25, "f1": 0.333, "gold": 8, "draft": 4}
    report: dict[str, Any] = {
        "kinds": dict.fromkeys(("step", "tool", "location", "warning", "cue", "all"), row),
        "harm": {"danger and warning items": 9, "of these missed": 3},
    }
    silent = {**report, "kinds": {kind: {**row, "draft": 0} for kind in report["kinds"]}}
    table = talk_table(["one", "two"], [report, silent])
    assert "| step (8) | 50.0 / 25.0 / 33.3 | none given |" in table
    assert "| dangers and warnings missed, of 9 | 3 | 3 |" in table
