"""The screen that drafts and tables are printed on."""

import sys

from rich.console import Console

PIPE_WIDTH = 100


def console() -> Console:
    """Standard output: as wide as the terminal, with colours there unless NO_COLOR is set; plain text in a pipe."""
    return Console(width=None if sys.stdout.isatty() else PIPE_WIDTH, highlight=False, markup=False)
