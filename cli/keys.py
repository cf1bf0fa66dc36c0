"""Keys of a person at a terminal, or lines of a pipe."""

import sys

import typer


def key(prompt: str, keys: str) -> str:
    """The next of ``keys`` that is pressed; on a pipe the first letter of its next line. "q" at its end.

    Other keys are told what they could have been.
    """
    while True:
        typer.echo(f"{prompt} [{keys}] ", nl=False)
        if sys.stdin.isatty():
            pressed = _pressed()
            if not pressed:
                typer.echo()
                return "q"
            typer.echo(pressed if pressed.isprintable() else "")
        else:
            line = sys.stdin.readline()
            typer.echo(line.strip())
            if not line:
                return "q"
            pressed = line.strip()[:1]
        if len(pressed) == 1 and pressed in keys:
            return pressed
        typer.echo(f"Press one of {' '.join(keys)}.")


def _pressed() -> str:
    """The key that is pressed from now on (what was typed before is thrown away); empty where the person leaves."""
    try:
        return typer.getchar()
    except (EOFError, KeyboardInterrupt):
        return ""


def line(prompt: str) -> str:
    """A line that is typed or comes through the pipe; empty at its end."""
    typer.echo(f"{prompt}: ", nl=False)
    typed = sys.stdin.readline()
    if not sys.stdin.isatty():
        typer.echo(typed.strip())
    return typed.strip()
