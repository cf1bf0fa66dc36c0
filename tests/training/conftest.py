"""Training is done by scripts; what they share is found beside them and beside the benchmarks."""

import sys
from pathlib import Path

_ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(_ROOT / "training"), str(_ROOT / "benchmarks")]
