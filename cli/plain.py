"""What others said or named, as it may go to a terminal."""

import unicodedata

import typer

_STEERS = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
"""Control and direction characters, halves of pairs, what has no meaning, and what breaks a line."""


def plain(text: str) -> str:
    """``text`` as one line, with a ? for each character that could steer a terminal or trick the eye."""
    return "".join("?" if unicodedata.category(letter) in _STEERS else letter for letter in text)


def say(line: str, *, is_error: bool = False) -> None:
    """Prints one line, plain."""
    typer.echo(plain(line), err=is_error)
