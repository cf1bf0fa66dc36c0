"""Problems of a pack in words for those who write one: what is wrong, and what to write instead."""

import re
from collections.abc import Sequence
from difflib import get_close_matches

from pydantic_core import ErrorDetails

from vouchbook.extract.packs.schema import Entry, Topic, normal_form
from vouchbook.extract.packs.table import HEAD, LISTS, Problem

_LONGEST_SHOWN = 60  # characters of a value
_FEW = 10
_WORDS = re.compile(r"[a-z0-9]+(?:(?:[ \-/'.]| & )[a-z0-9]+)*")
_TYPES = {
    "string_type": ("is not text", 'Write it in quotes, as in "bonnet"'),
    "tuple_type": ("is not a list", 'Write a list, as in ["bonnet", "hood"]'),
    "dict_type": ("is not a table", 'Write one, as in [energies] and below it gas = ["propane"]'),
    "model_type": ("is not a table", 'Write one, as in { phase = "fire", about = "what burns", words = ["fire"] }'),
    "bool_type": ("is neither true nor false", "Write true or false, without quotes"),
    "bool_parsing": ("is neither true nor false", "Write true or false, without quotes"),
    "too_short": ("is empty", "Write one word at least"),
}


def plain(problem: Problem) -> tuple[str, str]:
    """What is wrong, and what to do about it, each without a full stop.

    Loading says the same more briefly (``problem.what``); where it shows a pattern, this says what to write.
    """
    before = f"{problem.subject}: " if problem.subject else ""
    if problem.detail is not None:
        what, remedy = _of_field(problem.detail)
        return before + what, remedy
    if len(problem.place) == 1 and problem.what.startswith("unknown key"):
        key = str(problem.place[0])
        known = (*LISTS, "topic_words", *HEAD)
        return f"unknown key or kind '{shown(key)}'", _instead("topic_words" if key == "topic_word" else key, known)
    return problem.what, problem.advice or problem.remedy


def shown(value: object) -> str:
    """``value`` short enough for a line, without characters that a terminal would obey."""
    try:
        text = str(value)
    except ValueError:  # a whole number of thousands of digits, which Python does not write out
        return "a number too long to print"
    return printable(text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}…")


def printable(text: str) -> str:
    """``text`` on one line, with a mark for each character that cannot be seen."""
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in text)


def _of_field(detail: ErrorDetails) -> tuple[str, str]:
    place = ".".join(str(part + 1) if isinstance(part, int) else part for part in detail["loc"] if part != "[key]")
    name, given = shown(re.sub(r"\.\d+$", "", place)), detail["input"]
    kind = detail["type"]
    if kind == "missing":
        return f"'{name}' is missing", f"Write it, as in {_example(place)}"
    if kind == "extra_forbidden":
        fields = tuple(Topic.model_fields) if detail["loc"][0] == "topics" else tuple(Entry.model_fields)
        known = [field for field in fields if field != "kind"]
        return f"there is no field '{shown(detail['loc'][-1])}'", _instead(str(detail["loc"][-1]), known)
    if kind in {"literal_error", "enum"}:
        known = re.findall(r"'([^']+)'", str(detail.get("ctx", {}).get("expected", "")))
        return f"{name} '{shown(given)}' is not known", _instead(shown(given), known)
    if kind == "string_pattern_mismatch":
        return _misspelt(name, str(given), is_name=detail["loc"] == ("name",))
    if kind in {"string_too_long", "string_too_short"}:
        end = detail["msg"].removeprefix("String should have ")
        return f"{name} '{shown(given)}' has {len(str(given))} characters", f"Write {end}"
    if kind in _TYPES:
        what, remedy = _TYPES[kind]
        return f"'{shown(place)}' {what}", remedy
    message = detail["msg"].removeprefix("Value error, ")
    remedy = "Take it out of sounds_like" if detail["loc"][0] == "sounds_like" else "Correct it in the file"
    return f"{name}: {message}", remedy


def _misspelt(name: str, given: str, *, is_name: bool) -> tuple[str, str]:
    if is_name:
        remedy = "Write small letters, digits and _, a letter first, as in station_four"
        return f"name '{shown(given)}' cannot be used in programs", remedy
    small = normal_form(given)
    if not any(char.isalnum() for char in small):
        return f"{name} '{shown(given)}' has no letter or digit, so it can never be found", "Take it out"
    if _WORDS.fullmatch(small):
        spelt = " ".join(given.replace("\u2019", "'").lower().split())
        wrong = "has capital letters" if given != given.lower() else "has spaces or signs that are not compared"
        return f"{name} '{shown(given)}' {wrong}", _write(spelt, small)
    strange = "".join(dict.fromkeys(re.sub(r"[a-z0-9 \-/'.&]", "", given.lower())))
    what = f"{name} '{shown(given)}' holds {shown(strange)}" if strange else f"{name} '{shown(given)}' is not words"
    return what, "Write words of a to z and digits, with one space, - / ' . or ' & ' between them"


def _write(spelt: str, small: str) -> str:
    return f"Write '{shown(spelt if _WORDS.fullmatch(spelt) else small)}'"


def _instead(given: str, known: Sequence[str]) -> str:
    """What may have been meant, and, unless they are many, all that there is."""
    near = get_close_matches(given.lower().replace("-", "_"), known, n=1) or get_close_matches(given, known, n=1)
    every = f"nown are {', '.join(known)}"
    if not near:
        return f"K{every}"
    return f"Perhaps you mean '{near[0]}'" + (f"; k{every}" if len(known) <= _FEW else "")


def _example(place: str) -> str:
    field = place.rsplit(".", maxsplit=1)[-1]
    examples = {"name": "station_four", "title": "Words of station four", "about": "what burns", "phase": "fire"}
    return 'words = ["fire", "smoke"]' if field == "words" else f'{field} = "{examples.get(field, "bonnet")}"'
