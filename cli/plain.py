"""What others said or named, as it may go to a terminal: every line that is printed goes through here.

What click strips for us it strips in a pipe alone, where nothing is steered.
"""

import sys
import unicodedata
from json import dumps

import typer

_STEERS = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
"""Control and direction characters, halves of pairs, what has no meaning, and what breaks a line."""


def plain(text: str) -> str:
    """``text`` as one line, with a ? for each character that could steer a terminal or trick the eye."""
    return "".join("?" if _steers(letter) else letter for letter in text)


def say(*lines: str, is_error: bool = False) -> None:
    """Prints each of ``lines`` as one line, plain."""
    for line in lines:
        typer.echo(plain(line), err=is_error)


def say_json(text: str) -> None:
    """Prints JSON, which may have lines, with what steers written as the escapes that JSON has for it.

    A program reads the same from it.
    """
    escaped = "".join(dumps(letter)[1:-1] if letter != "\n" and _steers(letter) else letter for letter in text)
    typer.echo(escaped.removesuffix("\n"))


def hand_on(text: str) -> None:
    """Prints a file for a program that reads it, as it is; at a terminal each line plain."""
    is_read = sys.stdout.isatty()
    typer.echo("\n".join(plain(line) for line in text.split("\n")) if is_read else text, nl=False)


def _steers(letter: str) -> bool:
    return unicodedata.category(letter) in _STEERS
