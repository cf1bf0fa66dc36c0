"""Vouchbook's reading beside plain readers made of general libraries, in one run.

usage: python benchmarks/reading/compare.py GOLD_DIR [--open FOLDER] [--scorer PATH]

GOLD_DIR holds NAME.vtt with NAME.gold.json (tests/gold/README.md). The scorer is benchmarks/scoring.py, or a program
that is called as ``SCORER GOLD_DIR DRAFT_DIR`` and prints its table. FOLDER holds open data in the form that
benchmarks/README.md tells; it is only read, and only figures are printed. A file that is not there is left out.
"""

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))  # "reading" and "machine" stand there

from machine import machine

from reading.findings import Reader
from reading.imperatives import Imperatives
from reading.keywords import Keywords
from reading.layers import Layers
from reading.open_sets import SETS, OpenSet, Tally, measured, rows
from reading.patterns import Patterns
from reading.published import PLAIN, PUBLISHED
from reading.walk_throughs import SCORER, compare_talks


def main() -> int:
    """Prints the tables; the exit status is the scorer's, 2 for a folder that holds nothing to compare."""
    parser = argparse.ArgumentParser(description="Vouchbook's reading beside plain readers.")
    parser.add_argument("gold", type=Path, help="folder with NAME.vtt and NAME.gold.json")
    parser.add_argument("--open", type=Path, help="folder with open data")
    parser.add_argument("--scorer", type=Path, default=SCORER, help="program called with GOLD_DIR DRAFT_DIR")
    arguments = parser.parse_args()
    if not any(arguments.gold.glob("*.gold.json")):
        print(f"{arguments.gold}: no NAME.gold.json in it. Name a folder of gold walk-throughs.", file=sys.stderr)
        return 2
    sets = [each for each in SETS if arguments.open and (arguments.open / each.file).is_file()]
    if arguments.open and not sets:
        names = ", ".join(each.file for each in SETS)
        print(f"{arguments.open}: none of {names} in it. Name the folder that holds them.", file=sys.stderr)
        return 2
    readers: tuple[Reader, ...] = (Layers(), Patterns(), Keywords(), Imperatives())
    print(machine())
    print(f"\n## Walk-throughs of {arguments.gold.name}, percent\n", flush=True)
    status = compare_talks(arguments.gold, readers, arguments.scorer)
    if sets:
        print("\n## Open data, percent, precision / recall / F1, pooled\n")
        for reader in readers:
            print(f"- {reader.name} uses: {reader.used}")
        print("\n'Plain' and 'published' are figures of others on the test parts: not like for like.")
    for each in sets:
        _compare_set(each, arguments.open, readers)
    return status


def _compare_set(open_set: OpenSet, folder: Path, readers: Sequence[Reader]) -> None:
    data = rows(folder / open_set.file)
    started = time.perf_counter()
    tallies = [measured(open_set, data, reader) for reader in readers]
    print(f"\n### {open_set.title}, {len(data)} texts, read in {time.perf_counter() - started:.0f} s\n")
    print(set_table(open_set, [reader.name for reader in readers], tallies), flush=True)


def set_table(open_set: OpenSet, names: Sequence[str], tallies: Sequence[Tally]) -> str:
    """A line for each measure of a set, a column for each reader, then the figures of others."""
    lines = [f"| measure (in the gold) | {' | '.join(names)} | plain | published |", "| --- " * (len(names) + 3) + "|"]
    for name in open_set.measures:
        counts = [tally[name] for tally in tallies]
        cells = " | ".join(each.row() if each.found else "none given" for each in counts)
        others = f"{PLAIN.get(name, '')} | {PUBLISHED.get(name, '')}"
        lines.append(f"| {name} ({counts[0].gold}) | {cells} | {others} |")
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
