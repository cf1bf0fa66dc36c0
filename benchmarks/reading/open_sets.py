"""The open sets, read from a folder, and how the findings of a reader are compared with each."""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reading.counts import Counts
from reading.findings import Finding, Reader, Span
from reading.removal import removals, verb_spans
from reading.tool_forms import attributes, kind_of, out_of_box
from reading.written import Written, written

Row = dict[str, Any]
Tally = dict[str, Counts]
Measured = tuple[str, Iterable[Any], Iterable[Any]]
"""The name of a measure with what the gold of a text has and what was found in it."""
Compare = Callable[[Row, Written, Sequence[Finding]], Iterator[Measured]]

_FASTENERS = {"screw": "screw", "bolt": "bolt", "nut": "nut", "standoff": "standoff", "clip": "clip"}


@dataclass(frozen=True, slots=True)
class OpenSet:
    """One file of the folder."""

    file: str
    title: str
    measures: tuple[str, ...]
    compare: Compare


def repair_tools(row: Row, text: Written, found: Sequence[Finding]) -> Iterator[Measured]:
    """Tools out of the toolbox, and kind, drive and size that the text states; kinds by their last word."""
    del text
    tools = [finding for finding in found if finding.kind == "tool"]
    yield "tools of the toolbox", set(row["gold_tools"]), out_of_box(row["toolbox"], tools)
    forms = attributes(tools)
    for number, name in enumerate(("kind", "drive", "size")):
        stated = {tool["in_text"][name] for tool in row["gold_attrs"] if name in tool["in_text"]}
        stated = {kind_of(kind) for kind in stated} if name == "kind" else stated
        yield f"tool {name}", stated, {form[number] for form in forms if form[number]}


def repair_parts(row: Row, text: Written, found: Sequence[Finding]) -> Iterator[Measured]:
    """Removed parts, whole and by their last word, their verbs, and kind with count of removed fasteners."""
    steps = list(removals(found))
    parts = [text.tokens(step.thing) for step in steps if step.thing]
    gold = [tuple(part["span"]) for part in row["parts"]]
    yield "removed part", gold, parts
    yield "removed part, last word", [part[1] for part in gold], [part[1] for part in parts]
    yield "removal verb", [tuple(v["span"]) for v in row["verbs"]], [text.tokens(s) for s in verb_spans(steps)]
    wanted = [part["fastener"] for part in row["parts"] if part["fastener"]]
    counted = [(fastener, step.count) for step in steps if (fastener := _fastener(step))]
    yield "fastener and count", [(each["kind"], each.get("count")) for each in wanted], counted


def lab_actions(row: Row, text: Written, found: Sequence[Finding]) -> Iterator[Measured]:
    """Words of actions."""
    verbs = {(s.verb, s.verb) for s in found if s.kind == "step" and s.verb is not None}
    yield "action", tagged(row["tags"], "Action"), [text.tokens(verb) for verb in verbs]


def work_orders(row: Row, text: Written, found: Sequence[Finding]) -> Iterator[Measured]:
    """Parts, activities and states, by their words."""
    named = {kind: {text.tokens(f.span) for f in found if f.kind == kind} for kind in ("part", "state")}
    deeds = {text.tokens(_deed(f)) for f in found if f.kind == "step" and f.verb is not None}
    for measure, kind, spans in (
        ("part", "PhysicalObject", named["part"]), ("state", "State", named["state"]), ("activity", "Activity", deeds),
    ):  # fmt: skip
        gold = {(e["start"], e["end"] - 1) for e in row["entities"] if e["type"].split("/")[0] == kind}
        yield measure, gold, spans


SETS = (
    OpenSet("repair_tools.jsonl", "repair guides, tools",
            ("tools of the toolbox", "tool kind", "tool drive", "tool size"), repair_tools),
    OpenSet("repair_parts_verbs.jsonl", "repair guides, what comes off",
            ("removed part", "removed part, last word", "removal verb", "fastener and count"), repair_parts),
    OpenSet("lab_actions.jsonl", "lab protocols", ("action",), lab_actions),
    OpenSet("work_orders.json", "work orders", ("part", "state", "activity"), work_orders),
)  # fmt: skip


def tagged(tags: Sequence[str], kind: str) -> list[Span]:
    """The spans of ``kind`` in tags of the form "B-Action", "I-Action", "O"; an inside without a begin is none."""
    spans: list[Span] = []
    is_open = False
    for number, tag in enumerate(tags):
        if tag == f"B-{kind}":
            spans.append((number, number))
            is_open = True
        elif tag == f"I-{kind}" and is_open:
            spans[-1] = spans[-1][0], number
        else:
            is_open = False
    return spans


def rows(path: Path) -> list[Row]:
    """The rows of a file of JSON lines or of one JSON list."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".json":
        return list(json.loads(text))
    return [json.loads(line) for line in text.splitlines() if line]


def measured(open_set: OpenSet, data: Sequence[Row], reader: Reader) -> Tally:
    """Counts of each measure over all rows of a set, as ``reader`` reads them."""
    tally = {name: Counts() for name in open_set.measures}
    for row in data:
        text = written(row["tokens"] if "tokens" in row else row["text"].split())
        for name, gold, found in open_set.compare(row, text, reader.read(text.transcript)):
            tally[name].add(gold, found)
    return tally


def _fastener(step: Finding) -> str | None:
    words = step.fields["object"].lower().split()
    return _FASTENERS.get(words[-1].removesuffix("s")) if words else None


def _deed(step: Finding) -> Span:
    """The verb with a particle right behind it: "change out"."""
    verb = step.verb if step.verb is not None else step.span[0]
    return verb, step.particle if step.particle == verb + 1 else verb
