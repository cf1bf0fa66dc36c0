"""Which library a command works with, and on whose behalf. Light to import: ``vouchbook --help`` reads it."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.plain import plain
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library
    from vouchbook.models.people import Actor

TOKEN_VARIABLE = "VOUCHBOOK_TOKEN"  # noqa: S105  the name of a variable
_FOLDER = "library"

Where = Annotated[
    str | None,
    typer.Option(
        "--library",
        metavar="FOLDER|URL",
        envvar="VOUCHBOOK_LIBRARY",
        help="The library: a folder, or postgresql://USER@HOST/DATABASE. Without it, the one of this user.",
    ),
]
MediaFolder = Annotated[
    Path | None,
    typer.Option(
        "--media", metavar="FOLDER", envvar="VOUCHBOOK_MEDIA", help="Where the media are; needed for PostgreSQL."
    ),
]
Login = Annotated[
    str | None,
    typer.Option(
        "--as",
        metavar="LOGIN",
        envvar="VOUCHBOOK_LOGIN",
        help=f"Who you are. The password is asked for; scripts put a token into {TOKEN_VARIABLE} instead.",
    ),
]


def opened(where: str | None, media: Path | None, *, may_make: bool = False) -> "Library":
    """The library that the options name; ``may_make`` makes one where none is.

    Raises:
        VouchbookError: it cannot be opened.
    """
    import gc

    from vouchbook.library.open import open_library

    library = open_library(place_of(where), media=media, may_make=may_make)
    gc.freeze()  # what is loaded stays: looking through it for rubbish took 60 ms of opening a draft
    return library


def place_of(where: str | None) -> "str | Path":
    """Where the library is that the option names: without one, that of this user."""
    from vouchbook.extract.listen.folders import data_folder

    return where or data_folder() / _FOLDER


def acting(library: "Library", login: str | None) -> "Actor":
    """Whoever gives the command: by the token of the environment, or by login and password.

    Raises:
        SettingError: neither was given, or nobody can be asked for a password.
        SignInError: they do not fit.
    """
    from vouchbook.library.people.sessions import proven
    from vouchbook.library.people.tokens import actor_of_token

    token = os.environ.get(TOKEN_VARIABLE, "").strip()
    with library.reading() as session:
        if token:
            return actor_of_token(session, token, library.clock())
        if login is None:
            raise SettingError(f"nobody said who this is. Give --as LOGIN, or put a token into {TOKEN_VARIABLE}.")
        return proven(session, login, password_of(login))


def password_of(login: str, *, is_new: bool = False) -> str:
    """The password, typed without being shown; a new one is typed twice, after its least length was told.

    Raises:
        SettingError: there is no terminal to ask at.
    """
    if not sys.stdin.isatty() and is_new:
        raise SettingError(f"there is no terminal to type the new password of {login!r} at. Run this at a terminal.")
    if not sys.stdin.isatty():
        raise SettingError(
            f"there is no terminal to ask for the password of {login!r}. "
            f"Put a token of `vouchbook people token` into {TOKEN_VARIABLE}."
        )
    if is_new:
        from vouchbook.library.people.passwords import SHORTEST

        asked = f"New password of {login}, at least {SHORTEST} characters"
    else:
        asked = f"Password of {login}"
    answer: str = typer.prompt(
        plain(asked),
        hide_input=True,
        confirmation_prompt=is_new,
        err=True,
    )
    return answer


def day_of(name: str) -> "Callable[[str | None], str | None]":
    """A check for options that are days, as 2031-03-04."""
    from datetime import date

    def check(value: str | None) -> str | None:
        if value is not None:
            try:
                date.fromisoformat(value)
            except ValueError:
                raise typer.BadParameter(f"{value!r} is no {name}. Give it as 2031-03-04.") from None
        return value

    return check
