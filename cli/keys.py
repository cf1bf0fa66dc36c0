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
            pressed = typer.getchar()
            typer.echo(pressed if pressed.isprintable() else "")
            if pressed in ("\x03", "\x04"):
                return "q"
        else:
            line = sys.stdin.readline()
            typer.echo(line.strip())
            if not line:
                return "q"
            pressed = line.strip()[:1]
        if pressed and pressed in keys:
            return pressed
        typer.echo(f"Press one of {' '.join(keys)}.")


def line(prompt: str) -> str:
    """A line that is typed or comes through the pipe; empty at its end."""
    typer.echo(f"{prompt}: ", nl=False)
    typed = sys.stdin.readline()
    if not sys.stdin.isatty():
        typer.echo(typed.strip())
    return typed.strip()
