"""The only reader of pack files: those that come with the program, and a department's own."""

import tomllib
from collections.abc import Sequence
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from vouchbook.extract.packs.schema import Pack
from vouchbook.extract.packs.table import pack_from_table
from vouchbook.extract.packs.vocabulary import Vocabulary, layered
from vouchbook.models.errors import PackError

COMMON = "common"
DOMAINS = ("road_vehicles", "building_energy", "lifting_industrial")
"""The packs that come with the program; each stands on top of ``common``."""

_MAX_BYTES = 4_000_000  # far above any vocabulary; a film given by mistake is refused before it is read


@cache  # these files do not change while the program runs
def load_pack(name: str) -> Pack:
    """The pack of that name that comes with the program.

    Raises:
        PackError: no such pack; names those there are.
    """
    if name not in (COMMON, *DOMAINS):
        raise PackError(name, "no pack of this name", f"Use one of {', '.join(DOMAINS)}, or the path of a file")
    text = (resources.files("vouchbook.extract.packs") / f"{name}.toml").read_text(encoding="utf-8")
    return _pack(text, f"{name}.toml")


def load_pack_file(path: Path) -> Pack:
    """A department's own pack, in the same form.

    Raises:
        PackError: the file is missing, too big, not UTF-8, not TOML, or not a pack.
    """
    return _pack(pack_text(path), str(path))


def pack_text(path: Path) -> str:
    """What stands in a pack file, without a byte order mark.

    Raises:
        PackError: the file is missing, too big or not UTF-8.
    """
    name = str(path)
    try:
        with path.open("rb") as file:
            held = file.read(_MAX_BYTES + 1)
        if len(held) > _MAX_BYTES:
            raise PackError(name, "too big for a vocabulary", "Give a TOML file of terms")
        return held.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PackError(name, "not UTF-8 text", "Save it as UTF-8") from error
    except OSError as error:
        raise PackError(name, f"cannot be read ({error.strerror})", "Check the path and who may read it") from error


def table_from_text(text: str, name: str) -> dict[str, Any]:
    """The table that TOML ``text`` holds; ``name`` is how errors name the file.

    Raises:
        PackError: not TOML, or a value that cannot be read.
    """
    try:
        return tomllib.loads(text)
    except ValueError as error:  # tomllib's own, and Python's for a number of thousands of digits
        raise PackError(name, f"not TOML: {error}", "Correct it at that line") from error
    except RecursionError as error:
        raise PackError(name, "not TOML: lists too deep in each other", "Give a TOML file of terms") from error


def load_domains() -> tuple[Pack, ...]:
    """The packs that come with the program, without ``common``: what a talk is recognised among."""
    return tuple(load_pack(name) for name in DOMAINS)


def load_vocabulary(names: Sequence[str] = DOMAINS, files: Sequence[Path] = ()) -> Vocabulary:
    """``common``, the named packs, and then a department's files, each over the ones before.

    Raises:
        PackError: a pack or a file that cannot be used.
    """
    named = [load_pack(name) for name in (COMMON, *names)]
    return layered(*named, *(load_pack_file(path) for path in files))


def _pack(text: str, name: str) -> Pack:
    return pack_from_table(table_from_text(text, name), name)
