"""Is a department's own pack right, and how does it lie over the others? Everything that can be told at once."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from pydantic import Field

from vouchbook.extract.packs.lines import line_of, lines_of
from vouchbook.extract.packs.load import COMMON, DOMAINS, load_pack, pack_text, table_from_text
from vouchbook.extract.packs.overlap import OVERRIDES, Below, Layer
from vouchbook.extract.packs.pitfalls import Kept, pitfalls
from vouchbook.extract.packs.schema import KINDS, Entry
from vouchbook.extract.packs.table import LISTS, Examined, Place, examine
from vouchbook.extract.packs.wording import plain, printable
from vouchbook.models.errors import PackError
from vouchbook.models.phases import Phase
from vouchbook.models.record import Record

Severity = Literal["error", "warning"]
_HINTS = (
    ("Cannot overwrite", "A list or key stands there a second time: put both into one"),
    ("Cannot mutate immutable namespace", "A list or key stands there a second time: put both into one"),
    ("Invalid initial character for a key part", "Is a { … } broken over two lines? It must stand on one"),
)
"""Signs of the usual slips in what the TOML parser says, and what to do about them."""


class Finding(Record):
    """What is wrong (an error: the pack cannot be used) or doubtful (a warning), in which line, and what to do."""

    severity: Severity
    line: int | None
    what: str
    remedy: str


class PackCheck(Record):
    """What was found in one file. Counts and names are of the entries that can be read, also beside errors.

    ``new`` are the entries that no earlier pack has, ``adds`` those that add to one, ``overrides`` those that change
    what earlier packs say; each as ``KIND 'TERM'``.
    """

    file: str
    layers: tuple[str, ...]
    findings: tuple[Finding, ...]
    kinds: dict[str, int] = Field(default_factory=dict)
    phases: dict[Phase, int] = Field(default_factory=dict)
    topics: int = 0
    new: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    overrides: tuple[str, ...] = ()

    def of(self, severity: Severity) -> tuple[Finding, ...]:
        """The errors, or the warnings, by line."""
        return tuple(finding for finding in self.findings if finding.severity == severity)


def check_files(paths: Sequence[Path], kept: Kept) -> tuple[PackCheck, ...]:
    """Each file over all packs that come with Vouchbook, and over the files before it; ``kept`` is that of reading."""
    layers = [Layer(name, load_pack(name).entries) for name in (COMMON, *DOMAINS)]
    names = dict.fromkeys((COMMON, *DOMAINS), "comes with Vouchbook")
    checks = []
    for path in paths:
        below = Below(layers)
        text = ""
        try:
            text = pack_text(path)
            table = table_from_text(text, str(path))
        except PackError as error:
            checks.append(_unreadable(path, text, below, error))
            continue
        examined = examine(table)
        source = _Source(text)
        findings = [*_errors(examined, source), *_of_the_whole(table, examined, source, names)]
        checks.append(_check(path, source, findings, examined, below, kept))
        layers.append(Layer(printable(path.name), [entry for _, entry in examined.entries]))
        if isinstance(name := table.get("name"), str):
            names.setdefault(name, f"is that of {printable(str(path))}")
    return tuple(checks)


class _Source:
    """A file's text, to turn places of its table into lines."""

    def __init__(self, text: str) -> None:
        self._lines = lines_of(text)

    def finding(self, severity: Severity, place: Place, what: str, remedy: str) -> Finding:
        return _finding(severity, self.line(place), what, remedy)

    def line(self, place: Place) -> int | None:
        return line_of(self._lines, place)


def _check(
    path: Path, source: _Source, findings: list[Finding], examined: Examined, below: Below, kept: Kept
) -> PackCheck:
    """The check of a readable file: ``findings`` of the whole, and what is doubtful about its entries."""
    own = [entry for _, entry in examined.entries]
    groups: dict[str, list[str]] = {"new": [], "adds": [], "overrides": []}
    for place, entry in examined.entries:
        overlaps = below.overlaps(entry)
        for overlap, labels in overlaps:
            if overlap.remedy:
                what = overlap.what.replace("{}", ", ".join(labels))
                findings.append(source.finding("warning", (*place, "term"), what, overlap.remedy))
        for pitfall in pitfalls(entry, own, below, kept):
            what = f"{_name(entry)}: {pitfall.what}"
            findings.append(source.finding("warning", (*place, *pitfall.place), what, pitfall.remedy))
        hows = {overlap.how for overlap, _ in overlaps}
        groups["overrides" if hows & OVERRIDES else "adds" if hows & {"same", "adds"} else "new"].append(_name(entry))
    kinds, phases = Counter(entry.kind for entry in own), Counter(entry.phase for entry in own)
    topics = examined.head.get("topics")
    return PackCheck(
        file=printable(str(path)),
        layers=tuple(layer.label for layer in below.layers),
        findings=tuple(sorted(findings, key=lambda finding: (finding.line or 0, finding.severity))),
        kinds={kind: kinds[kind] for kind in KINDS if kinds[kind]},
        phases={phase: phases[phase] for phase in Phase if phases[phase]},
        topics=len(topics) if isinstance(topics, list) else 0,
        new=tuple(groups["new"]),
        adds=tuple(groups["adds"]),
        overrides=tuple(groups["overrides"]),
    )


def _errors(examined: Examined, source: _Source) -> Iterator[Finding]:
    for problem in examined.problems:
        what, remedy = plain(problem)
        other = source.line(problem.other) if problem.other else None
        if other is not None:
            what += f" (see line {other})"
        yield source.finding("error", problem.place, what, remedy)


def _of_the_whole(
    table: Mapping[str, Any], examined: Examined, source: _Source, names: Mapping[str, str]
) -> Iterator[Finding]:
    """Warnings that belong to no entry that could be read."""
    name = table.get("name")
    if isinstance(name, str) and name in names:
        what = f"the name '{name}' {names[name]}; drafts could not tell which of the two they were read with"
        yield source.finding("warning", ("name",), what, "Give this pack another name")
    if not examined.entries and not table.get("topics") and not examined.problems:
        remedy = 'Write some, as in part = [{ term = "bonnet" }]'
        yield source.finding("warning", (), "there are no words in this pack", remedy)
    if table.get("recognised_by") and name not in DOMAINS:
        what = "'recognised_by' has no effect: a pack of your own is used for every talk that it is given for"
        yield source.finding("warning", ("recognised_by",), what, "Take it out")
    for kind in LISTS:
        rows = table.get(kind)
        for index, row in enumerate(rows if isinstance(rows, list) else []):
            if isinstance(row, Mapping) and "kind" in row:
                what = f"a 'kind' has no effect: what stands in this list is a {kind}"
                yield source.finding("warning", (kind, index, "kind"), what, "Take it out")


def _unreadable(path: Path, text: str, below: Below, error: PackError) -> PackCheck:
    """A file of which nothing could be read; ``text`` is what stands in it, as far as that is known."""
    what, remedy = error.problem, error.remedy
    at = re.search(r"\(at line (\d+), column \d+\)", what)
    line = int(at[1]) if at else text.count("\n") + 1 if what.endswith("(at end of document)") else None
    if what.startswith("not TOML"):
        remedy = next((hint for sign, hint in _HINTS if sign in what), remedy) + "; what comes after it was not checked"
    return PackCheck(
        file=printable(str(path)),
        layers=tuple(layer.label for layer in below.layers),
        findings=(_finding("error", line, what, remedy),),
    )


def _finding(severity: Severity, line: int | None, what: str, remedy: str) -> Finding:
    return Finding(severity=severity, line=line, what=printable(what), remedy=printable(remedy))


def _name(entry: Entry) -> str:
    return f"{entry.kind} '{entry.term}'"
