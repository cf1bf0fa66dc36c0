"""Progress on standard error, only where a person looks at it, and a clean end when that person stops it."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import typer

from vouchbook.models.clock import clock

if TYPE_CHECKING:
    from vouchbook.extract.listen.progress import Progress

INTERRUPTED = "Interrupted. Run the same command again: it goes on where it stopped."


@contextmanager
def progress_of(what: str) -> Iterator[Callable[["Progress"], None]]:
    """What work on a recording reports to: a bar with the time left on a terminal, nothing elsewhere.

    Raises:
        typer.Exit: with code 130, when the person interrupts.
    """
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn
    from rich.progress import Progress as Bar

    columns = (
        TextColumn(what),
        BarColumn(),
        TextColumn("{task.fields[heard]}"),
        TextColumn("{task.fields[left]}"),
    )
    with stoppable(), Bar(*columns, console=Console(stderr=True), transient=True, disable=not _is_seen()) as bar:
        task = bar.add_task("", total=None, heard="", left="")

        def show(progress: "Progress") -> None:
            heard = clock(progress.done_s)
            if progress.total_s is not None:
                heard += f" of {clock(progress.total_s)}"
            left = f"about {clock(progress.left_s + 1)} left" if progress.left_s is not None else ""
            bar.update(task, completed=progress.done_s, total=progress.total_s, heard=heard, left=left)

        yield show


@contextmanager
def working(what: str) -> Iterator[None]:
    """A sign of life while ``what`` is done, for work whose length is not known."""
    from rich.console import Console

    with stoppable():
        if _is_seen():
            with Console(stderr=True).status(what):
                yield
        else:
            yield


@contextmanager
def stoppable() -> Iterator[None]:
    """Ends in one sentence and exit code 130 when the person presses Ctrl-C."""
    try:
        yield
    except KeyboardInterrupt:
        typer.echo(INTERRUPTED, err=True)
        raise typer.Exit(130) from None


def _is_seen() -> bool:
    return sys.stderr.isatty()
