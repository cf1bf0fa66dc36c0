"""Drafts of one level of noise, laid out for a scorer, and what it says of them."""

import json
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sound.timeline import Timeline, moved_gold
from vouchbook.extract.listen.captions.registry import write_captions
from vouchbook.models.draft import Draft

KINDS = ("step", "tool", "location", "warning", "cue", "all")


@dataclass(frozen=True, slots=True)
class Drafted:
    """One talk drafted: ``gold`` is its file, ``timeline`` the clock on which ``draft`` stands."""

    gold: Path
    timeline: Timeline
    draft: Draft


def scored(drafts: Iterable[Drafted], scorer: Path, folder: Path) -> dict[str, Any]:
    """What ``scorer``, called as ``SCORER GOLD_DIR DRAFT_DIR --json``, prints of ``drafts``; written to ``folder``.

    ``kinds`` of it has precision, recall and F1 for each of ``KINDS``.

    Raises:
        SystemExit: the scorer fails.
    """
    gold_folder, draft_folder = folder / "gold", folder / "drafts"
    gold_folder.mkdir(parents=True)
    draft_folder.mkdir()
    for drafted in drafts:
        name = drafted.gold.name.removesuffix(".gold.json")
        gold = moved_gold(json.loads(drafted.gold.read_text(encoding="utf-8")), drafted.timeline)
        (gold_folder / drafted.gold.name).write_text(json.dumps(gold), encoding="utf-8")
        # the scorer looks for the quotes in these words
        captions = write_captions(drafted.draft.transcript, "vtt")
        (gold_folder / f"{name}.vtt").write_text(captions, encoding="utf-8")
        (draft_folder / f"{name}.json").write_text(drafted.draft.to_json(), encoding="utf-8")
    command = [sys.executable, str(scorer), str(gold_folder), str(draft_folder), "--json"]
    made = subprocess.run(command, check=False, capture_output=True, text=True)
    if made.returncode:
        raise SystemExit(f"{scorer.name} fails: {made.stderr.strip()}. Call it by hand with a gold folder and drafts.")
    report: dict[str, Any] = json.loads(made.stdout)
    if "all" in report:
        report["kinds"]["all"] = report.pop("all")
    return report
