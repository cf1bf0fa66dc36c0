"""Gold walk-throughs: a draft of each reader for each talk, and their scores."""

import json
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from reading.findings import Reader
from vouchbook.extract.run import transcript_of

SCORER = Path(__file__).resolve().parents[1] / "scoring.py"
_KINDS = ("step", "tool", "location", "warning", "cue", "all")
_HARM = {
    "of these missed": "dangers and warnings missed",
    "prohibitions as steps": "prohibitions that became steps",
    "items from chatter": "items from small talk",
}


def write_drafts(gold: Path, reader: Reader, target: Path) -> None:
    """A draft NAME.json in ``target`` for each NAME.vtt beside a NAME.gold.json."""
    for file in sorted(gold.glob("*.gold.json")):
        name = file.name.removesuffix(".gold.json")
        draft = reader.draft(transcript_of([gold / f"{name}.vtt"]))
        (target / f"{name}.json").write_text(draft.to_json(), encoding="utf-8")


def compare_talks(gold: Path, readers: Sequence[Reader], scorer: Path) -> int:
    """Prints a table of all readers, or what another ``scorer`` prints of each; gives its worst exit status."""
    reports: list[dict[str, Any]] = []
    status = 0
    is_ours = scorer.resolve() == SCORER
    for reader in readers:
        with tempfile.TemporaryDirectory() as folder:
            write_drafts(gold, reader, Path(folder))
            command = [sys.executable, str(scorer), str(gold), folder, *(["--json"] if is_ours else [])]
            result = subprocess.run(command, check=False, capture_output=True, text=True)
        status = max(status, abs(result.returncode))
        if result.returncode:
            print(f"{scorer}: failed on {reader.name}\n{result.stderr}", file=sys.stderr)
        elif is_ours:
            reports.append(json.loads(result.stdout))
        else:
            print(f"### {reader.name}\n{result.stdout}")
    if len(reports) == len(readers):
        print(talk_table([reader.name for reader in readers], reports))
    return status


def talk_table(names: Sequence[str], reports: Sequence[dict[str, Any]]) -> str:
    """Precision, recall and F1 in percent by kind, then what does harm, one column for each reader.

    ``reports`` are what the scorer prints with ``--json``.
    """
    lines = [f"| precision / recall / F1 | {' | '.join(names)} |", "| --- " * (len(names) + 1) + "|"]
    for kind in _KINDS:
        rows = [report["kinds"][kind] for report in reports]
        lines.append(f"| {kind} ({rows[0]['gold']}) | {' | '.join(_cell(row) for row in rows)} |")
    for key, name in _HARM.items():
        counts = [str(report["harm"].get(key, 0)) for report in reports]
        of = f", of {reports[0]['harm']['danger and warning items']}" if key == "of these missed" else ""
        lines.append(f"| {name}{of} | {' | '.join(counts)} |")
    return "\n".join(lines)


def _cell(row: dict[str, float]) -> str:
    """One kind of one reader; a reader that gives none of a kind has no precision."""
    if not row["draft"]:
        return "none given"
    return " / ".join(f"{100 * row[name]:.1f}" for name in ("precision", "recall", "f1"))
