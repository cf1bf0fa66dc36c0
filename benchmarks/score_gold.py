"""Drafts of the captions of a gold folder, made by the command, and their scores.

usage: python benchmarks/score_gold.py GOLD_DIR [--drafts DIR] [--show] [--scorer PATH]

GOLD_DIR holds NAME.vtt with NAME.gold.json (tests/gold/README.md says what is in them). The scorer is scoring.py beside
this file, or a program that is called as ``SCORER GOLD_DIR DRAFT_DIR`` and prints what it finds.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SCORER = Path(__file__).with_name("scoring.py")


def main() -> int:
    """The scorer's exit code, or that of the drafts where they cannot be made."""
    parser = argparse.ArgumentParser(description="Make drafts of a gold folder and score them.")
    parser.add_argument("gold", type=Path, help="folder with NAME.vtt and NAME.gold.json")
    parser.add_argument("--scorer", type=Path, default=SCORER, help="program called with GOLD_DIR DRAFT_DIR")
    parser.add_argument("--drafts", type=Path, help="keep the drafts here")
    parser.add_argument("--show", action="store_true", help="hand --show on to the scorer")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        drafts = arguments.drafts or Path(temporary)
        started = time.perf_counter()
        command = [sys.executable, "-m", "vouchbook", "drafts", str(arguments.gold), "--out", str(drafts)]
        made = subprocess.run(command, check=False)
        print(f"drafts made in {time.perf_counter() - started:.1f} s, start included", flush=True)
        if made.returncode:
            return made.returncode
        show = ["--show"] if arguments.show else []
        scoring = [sys.executable, str(arguments.scorer), str(arguments.gold), str(drafts), *show]
        return subprocess.run(scoring, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
