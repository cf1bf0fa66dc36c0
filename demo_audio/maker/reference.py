"""What is true of a recording: captions, plain text and gold, all from the times of the synthesis."""

import json
from itertools import pairwise
from typing import Any

from maker.script import MAKER_KEYS, PHASES, check_item
from maker.surroundings import drowned_span_s
from maker.talk import Span, SpokenCue, Talk


def captions(talk: Talk) -> str:
    """WebVTT with a voice tag on every cue."""
    blocks = [
        f"{_stamp(spoken.span_s[0])} --> {_stamp(spoken.span_s[1])}\n<v {spoken.cue.speaker}>{spoken.cue.text}\n"
        for spoken in talk.cues
    ]
    return "\n".join(["WEBVTT\n", *blocks])


def plain_text(talk: Talk) -> str:
    """One line for every cue, speaker first."""
    return "".join(f"{spoken.cue.speaker}: {spoken.cue.text}\n" for spoken in talk.cues)


def gold(talk: Talk) -> str:
    """JSON: items in procedure order, and beside them all that a draft must leave open. ValueError when unsound."""
    script = talk.script
    drowned = drowned_span_s(talk)
    heard = [spoken for spoken in talk.cues if not spoken.cue.drowned]
    covered_up = [spoken for spoken in talk.cues if spoken.cue.drowned]
    record: dict[str, Any] = {
        "name": script.name,
        "subject": script.subject,
        "items": _items(heard, talk, "g"),
        "pointers": _noted(heard, "pointers"),
        "borrowed": _noted(heard, "borrowed"),
        "chatter": [list(spoken.span_s) for spoken in talk.cues if spoken.cue.chatter],
        "conflicts": _conflicts(heard),
        "uncovered": list(script.uncovered),
        "voices": [
            {"start": spoken.span_s[0], "end": spoken.span_s[1], "voice": spoken.cue.speaker} for spoken in talk.cues
        ],
    }
    if drowned:
        record["drowned"] = list(drowned)
        record["drowned_items"] = _items(covered_up, talk, "d")
    _check(record)
    return json.dumps(record, indent=1, ensure_ascii=False) + "\n"


def _items(cues: list[SpokenCue], talk: Talk, prefix: str) -> list[dict[str, Any]]:
    by_label = {spoken.cue.label: spoken for spoken in talk.cues if spoken.cue.label}
    told = [(item, _span(spoken, item, by_label)) for spoken in cues for item in spoken.cue.items]
    for late in [entry for entry in told if "do_before" in entry[0]]:
        told.remove(late)
        told.insert(next(n for n, (item, _) in enumerate(told) if item.get("label") == late[0]["do_before"]), late)
    return [
        {
            "id": f"{prefix}{number}",
            "kind": item["kind"],
            "phase": item["phase"],
            "at": list(span),
            **_fields(item),
        }
        for number, (item, span) in enumerate(told, start=1)
    ]


def _fields(item: dict[str, Any]) -> dict[str, Any]:
    fields = {key: value for key, value in item.items() if key not in MAKER_KEYS}
    # the form asks for an explicit null where nobody gave a size or forbade anything
    absent = {"tool": {"size": None}, "warning": {"prohibits": None}}.get(item["kind"], {})
    return {**fields, **{key: value for key, value in absent.items() if key not in fields}}


def _span(spoken: SpokenCue, item: dict[str, Any], by_label: dict[str, SpokenCue]) -> Span:
    start_s, end_s = spoken.quote_span_s(item["quote"])
    if "also" in item:
        other = by_label[item["also"]].span_s
        return min(start_s, other[0]), max(end_s, other[1])
    return start_s, end_s


def _noted(cues: list[SpokenCue], field: str) -> list[dict[str, Any]]:
    return [
        {"at": list(spoken.quote_span_s(note["quote"])), "about": note["about"]}
        for spoken in cues
        for note in getattr(spoken.cue, field)
    ]


def _conflicts(cues: list[SpokenCue]) -> list[dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for spoken in cues:
        if note := spoken.cue.conflict:
            entry = found.setdefault(note["key"], {"at": [], "about": note["about"]})
            entry["at"].append(list(spoken.quote_span_s(note["quote"])))
    return list(found.values())


def _check(record: dict[str, Any]) -> None:
    end_s = record["voices"][-1]["end"]
    for item in [*record["items"], *record.get("drowned_items", [])]:
        check_item(item)
        if not 0 <= item["at"][0] < item["at"][1] <= end_s:
            raise ValueError(f"{record['name']}: {item['id']} lies outside the recording")
        if any(item["at"][0] < end and start < item["at"][1] for start, end in record["chatter"]):
            raise ValueError(f"{record['name']}: {item['id']} comes from small talk")
    if any(len(conflict["at"]) != 2 for conflict in record["conflicts"]):
        raise ValueError(f"{record['name']}: a conflict needs two statements")
    if any(later["start"] < earlier["end"] for earlier, later in pairwise(record["voices"])):
        raise ValueError(f"{record['name']}: voices overlap")
    if {item["phase"] for item in record["items"]} | set(record["uncovered"]) | {"other"} != set(PHASES):
        raise ValueError(f"{record['name']}: phases covered and uncovered do not add up")


def _stamp(seconds: float) -> str:
    ms = round(seconds * 1000)
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"
