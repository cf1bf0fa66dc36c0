"""Names of tools brought to one form: what kind of tool, for which drive, of which size. The same for every reader."""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from reading.findings import Finding

_DRIVES = {
    "phillips": r"phillips|cross-?recess|cross-?head|crosspoint|ph\d+",
    "torx": r"torx|hexalobular|star|t\d+",
    "pentalobe": r"pentalobe|p\d+",
    "hex": r"hex|allen",
    "flat": r"flat-?head|flat-?blade|flat|slotted",
    "tri-point": r"tri-?point|tri-?wing",
}
_DRIVE = {drive: re.compile(rf"\b(?:{words})\b") for drive, words in _DRIVES.items()}
_NAMED_SIZE = re.compile(r"\b([tp]\d+)\b")
_CROSS_SIZE = re.compile(r"(?:\bph ?|#)(\d+)|\bphillips (\d+)\b")
_LENGTH = re.compile(r"\b(\d+(?:\.\d+)?) ?mm\b")
_SYNONYMS = {"spanner": "wrench", "plier": "pliers", "bit": "screwdriver", "driver": "screwdriver", "key": "wrench"}
"""Kinds that one box may hold under another name: a hexalobular bit turns what a Torx screwdriver turns."""


class ToolForm(NamedTuple):
    """A tool in comparable words: "screwdriver", "torx", "T6"; empty where nothing tells."""

    kind: str
    drive: str
    size: str


def tool_form(name: str, size: str | None = None) -> ToolForm:
    """The form of a tool by its ``name`` and, where a reader told it apart, its ``size``.

    Cross-recess sizes are written "#2" whether "PH2" or "#2" was said; a size in the name counts where none is given.
    """
    said = f"{name} {size or ''}".lower()
    drive = next((drive for drive, pattern in _DRIVE.items() if pattern.search(said)), "")
    return ToolForm(kind_of(name.lower()), drive, _size((size or name).lower()))


def _size(text: str) -> str:
    if match := _NAMED_SIZE.search(text):
        return match[1].upper()
    if match := _CROSS_SIZE.search(text):
        return f"#{match[1] or match[2]}"
    if match := _LENGTH.search(text):
        return f"{match[1]} mm"
    return text if re.match(r"\d+/\d+ in$", text) else ""


def kind_of(name: str) -> str:
    """What kind of tool a lower-case ``name`` names, in the singular: "needle-nose pliers" is "plier"."""
    words = re.findall(r"[a-z-]+", re.sub(r"\b(?:set|of|tools?)\b.*", "", name) or name)
    return words[-1].removesuffix("s") if words else ""


def same_kind(one: str, other: str) -> bool:
    """Whether two kinds may be one tool."""
    a, b = (word.removesuffix("s") for word in (one, other))
    return bool(a) and _SYNONYMS.get(a, a).removesuffix("s") == _SYNONYMS.get(b, b).removesuffix("s")


def out_of_box(box: Sequence[str], found: Iterable[Finding]) -> set[str]:
    """The names of ``box`` that the tools ``found`` in a step may be, the best fitting name for each tool.

    A name with another drive or another size does not fit; agreeing drive, size and kind each speak for it. A tool
    that no name agrees with in anything takes none.
    """
    chosen = set()
    for finding in found:
        tool = tool_form(finding.fields["name"], finding.size)
        scored = [(_fit(tool, tool_form(name), finding.fields["name"].lower(), name), -n) for n, name in enumerate(box)]
        best = max(scored, default=(0, 0))
        if best[0] > 0:
            chosen.add(box[-best[1]])
    return chosen


def _fit(tool: ToolForm, boxed: ToolForm, said: str, name: str) -> int:
    if any(a and b and a != b for a, b in zip(tool[1:], boxed[1:], strict=True)):
        return 0
    agreeing = sum(bool(a) and a == b for a, b in zip(tool[1:], boxed[1:], strict=True))
    shared = set(said.split()) & set(name.split())
    is_same = same_kind(tool.kind, boxed.kind)
    if not is_same and not agreeing:
        return 0
    return 10 * agreeing + 5 * is_same + len(shared)


def attributes(found: Iterable[Finding]) -> list[ToolForm]:
    """Kind, drive and size of each tool ``found``; a kind that nobody named is left empty."""
    forms = []
    for finding in found:
        form = tool_form(finding.fields["name"], finding.size)
        forms.append(form._replace(kind="") if finding.is_implied else form)
    return forms
