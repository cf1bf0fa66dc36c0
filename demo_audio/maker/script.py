"""The written talks: read from TOML, checked before anything is spoken."""

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PHASES = ("identify", "immobilise", "disable", "access", "stored_energy", "fire", "submersion", "towing", "other")
HAZARDS = (
    "electric shock", "burn", "toxic fumes", "fire", "explosion", "crush", "fall",
    "pressure release", "projectile", "unexpected movement", "other",
)  # fmt: skip
SIGNALS = ("danger", "warning", "caution", "notice")
# kind -> (fields that must be there, fields that may be there)
FIELDS = {
    "step": ({"action", "object"}, {"count", "tool", "size", "place", "condition"}),
    "tool": ({"name"}, {"size", "count", "fastener"}),
    "location": ({"part", "place"}, set()),
    "warning": ({"text", "hazard", "signal"}, {"prohibits"}),
    "cue": ({"text"}, set()),
}
MAKER_KEYS = {"kind", "phase", "quote", "also", "label", "do_before"}


class ScriptError(ValueError):
    """A script that must not be spoken: one line that says where and why."""


@dataclass(frozen=True)
class Cue:
    """One caption: what one person says in one go, and what a careful reader takes from it."""

    speaker: str
    sentences: tuple[str, ...]
    scene: str | None
    label: str | None
    chatter: bool
    drowned: bool
    items: tuple[dict[str, Any], ...]
    pointers: tuple[dict[str, str], ...]
    borrowed: tuple[dict[str, str], ...]
    conflict: dict[str, str] | None

    @property
    def text(self) -> str:
        """The words as they stand in the caption."""
        return " ".join(self.sentences)

    def sentences_of(self, quote: str) -> tuple[int, int]:
        """First and last sentence (0-based) that a quote touches; ScriptError when the words are not there."""
        first_char = self.text.find(quote)
        if first_char < 0:
            raise ScriptError(f"quote {quote!r} does not stand in {self.text!r}: correct the quote")
        last_char = first_char + len(quote) - 1
        touched, start = [], 0
        for number, sentence in enumerate(self.sentences):
            if start <= last_char and first_char < start + len(sentence):
                touched.append(number)
            start += len(sentence) + 1
        return touched[0], touched[-1]


@dataclass(frozen=True)
class Script:
    """One invented talk."""

    name: str
    media: str
    setting: str
    snr_db: float
    drowned_snr_db: float
    subject: dict[str, str]
    voices: dict[str, str]
    uncovered: tuple[str, ...]
    cues: tuple[Cue, ...]


def read_script(path: Path) -> Script:
    """The talk in `path`; ScriptError (file, cue, cause) when it breaks the form of the gold."""
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    cues = tuple(_cue(entry) for entry in raw["cue"])
    script = Script(
        raw["name"], raw["media"], raw["setting"], raw.get("snr_db", 60.0), raw.get("drowned_snr_db", 60.0),
        raw["subject"], raw["voices"], tuple(raw["uncovered"]), cues,
    )  # fmt: skip
    try:
        _check(script)
    except ScriptError as err:
        raise ScriptError(f"{path.name}: {err}") from err
    return script


def _cue(entry: dict[str, Any]) -> Cue:
    return Cue(
        speaker=entry["speaker"],
        sentences=tuple(re.split(r"(?<=[.!?])\s+", entry["text"].strip())),
        scene=entry.get("scene"),
        label=entry.get("label"),
        chatter=entry.get("chatter", False),
        drowned=entry.get("drowned", False),
        items=tuple(entry.get("items", ())),
        pointers=tuple(entry.get("pointers", ())),
        borrowed=tuple(entry.get("borrowed", ())),
        conflict=entry.get("conflict"),
    )


def _check(script: Script) -> None:
    cue_labels = {cue.label for cue in script.cues if cue.label}
    item_labels = {item["label"] for cue in script.cues for item in cue.items if "label" in item}
    covered = {item["phase"] for cue in script.cues for item in cue.items}
    for cue in script.cues:
        if cue.speaker not in script.voices:
            raise ScriptError(f"speaker {cue.speaker!r} has no voice: add it to [voices]")
        if cue.chatter and cue.items:
            raise ScriptError(f"small talk {cue.text!r} carries items: take one of them away")
        for item in cue.items:
            check_item({key: value for key, value in item.items() if key not in MAKER_KEYS - {"kind", "phase"}})
            cue.sentences_of(item["quote"])
            if item.get("also", next(iter(cue_labels), None)) not in cue_labels | {None}:
                raise ScriptError(f"no cue is labelled {item['also']!r}")
            if "do_before" in item and item["do_before"] not in item_labels:
                raise ScriptError(f"no item is labelled {item['do_before']!r}")
    if wrong := covered & set(script.uncovered) or set(script.uncovered) - set(PHASES):
        raise ScriptError(f"uncovered phases are spoken of or unknown: {sorted(wrong)}")
    if silent := set(PHASES) - {"other"} - covered - set(script.uncovered):
        raise ScriptError(f"phases nobody speaks of are missing from `uncovered`: {sorted(silent)}")


def check_item(item: dict[str, Any]) -> None:
    """ScriptError when an item lacks a field of its kind, has a foreign one, or a value outside the closed lists."""
    must, may = FIELDS[item["kind"]]
    named = set(item) - {"kind", "phase", "id", "at"}
    if must - named or named - must - may:
        raise ScriptError(f"{item}: missing {sorted(must - named)}, foreign {sorted(named - must - may)}")
    if item["phase"] not in PHASES:
        raise ScriptError(f"{item}: unknown phase")
    if item["kind"] == "warning" and (item["hazard"] not in HAZARDS or item["signal"] not in SIGNALS):
        raise ScriptError(f"{item}: unknown hazard or signal word")
    if not isinstance(item.get("count", 1), int):
        raise ScriptError(f"{item}: count is not a whole number")
