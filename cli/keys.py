"""Keys of a person at a terminal, or lines of a pipe."""

import sys

import typer

from vouchbook.cli.plain import plain, say


def key(prompt: str, keys: str) -> str:
    """The next of ``keys`` that is pressed; on a pipe the first letter of its next line. "q" at its end.

    Other keys are told what they could have been.
    """
    while True:
        typer.echo(plain(f"{prompt} [{keys}] "), nl=False)
        if sys.stdin.isatty():
            pressed = _pressed()
            if not pressed:
                typer.echo()
                return "q"
            say(pressed if pressed.isprintable() else "")
        else:
            line = sys.stdin.readline()
            say(line.strip())
            if not line:
                return "q"
            pressed = line.strip()[:1]
        if len(pressed) == 1 and pressed in keys:
            return pressed
        say(f"Press one of {' '.join(keys)}.")


def _pressed() -> str:
    """The key that is pressed from now on (what was typed before is thrown away); empty at the end of the input."""
    try:
        return typer.getchar()
    except EOFError:
        return ""


def line(prompt: str) -> str:
    """A line that is typed or comes through the pipe; empty at its end."""
    typer.echo(plain(f"{prompt}: "), nl=False)
    typed = sys.stdin.readline()
    if not sys.stdin.isatty():
        say(typed.strip())
    return typed.strip()
