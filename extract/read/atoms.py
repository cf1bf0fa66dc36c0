"""Transcript words cut into the smallest spoken pieces: "three-eighths," is two, "10mm" is two, "T30" is two."""

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple


class Atom(NamedTuple):
    """One spoken piece: lower case, without punctuation.

    ``stop`` is the punctuation that follows it: a comma, one of ".?!;:", or a dash for a broken-off word. ``is_glued``
    when the next piece stands in the same word.
    """

    word: str
    token: int
    stop: str
    is_glued: bool


_FRACTION_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_DASHES = "-\u2010\u2011\u2013\u2014"
_BREAK = "\u2014"
_SPLIT = re.compile("[" + _DASHES + "]+")
_NUMERAL = re.compile(r"(\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?|\.\d+)(/\d+)?(.*)", re.DOTALL)
_FRACTION = re.compile(r"\d/\d")
_ENDS_IN_FRACTION = re.compile(r"\d/\d+$")
_LETTERED = re.compile(r"(t|e|m|ph|pz|h)(\d{1,3})(s?)(?:x[\d.]+)?")
_CONTRACTED = re.compile(r"([a-z]+)('s|'ll|'re|'d|'ve|s')")
_SUFFIX = re.compile(r"[a-z°%\"'²·.]+")
_KEPT_WHOLE = frozenset({"it's", "that's", "there's", "what's", "let's", "he's", "she's", "here's", "one's"})
_PLAIN = str.maketrans({"\u2019": "'", "\u2018": "'", "\u201c": '"', "\u201d": '"', "\u2033": '"', "\u2212": "-"})
_OPENING = "\"'([{«¿"
_CLOSING = "\"')]}»"
_ENDS = ".?!;:\u2026"
_STOPS = _ENDS + ","
_PADDING = 8


def atoms(tokens: Sequence[str], first: int = 0, after: int | None = None) -> list[Atom]:
    """The pieces of the words ``first`` up to ``after``, then a few empty ones so that nobody looks past the end."""
    cut: list[Atom] = []
    add = cut.append
    for number, token in enumerate(tokens[first:after], first):
        for word, stop, is_glued in _cut(token):
            add(Atom(word, number, stop, is_glued))
    cut.extend([Atom("", len(tokens), ".", is_glued=False)] * _PADDING)
    return cut


@lru_cache(maxsize=8192)
def _cut(token: str) -> tuple[tuple[str, str, bool], ...]:
    """The pieces of one word as (word, stop, glued to the next)."""
    text = token.lower().translate(_PLAIN)
    for sign, written in _FRACTION_SIGNS.items():
        if sign in text:
            text = text.replace(sign, f"-{written}" if text[: text.index(sign)][-1:].isdigit() else written)
    core = text.lstrip(_OPENING).rstrip(_STOPS + _CLOSING)
    tail = text[text.index(core) + len(core) :]
    stop = next((mark for mark in tail if mark in _ENDS), "," if "," in tail else "")
    if core[-1:] and core[-1] in _DASHES:
        stop = stop or _BREAK
    if tail.startswith('"') and _ENDS_IN_FRACTION.search(core):
        core += '"'
    words = _pieces(core)
    if not words:
        return (("", stop, False),)
    last = len(words) - 1
    return tuple((word, stop if place == last else "", place != last) for place, word in enumerate(words))


def _pieces(core: str) -> list[str]:
    words: list[str] = []
    if core.startswith("-") and core[1:2].isdigit():
        words.append("minus")
    parts = [part for part in _SPLIT.split(core) if part]
    if "/" in core and not _FRACTION.search(core):
        parts = [part for whole in parts for part in whole.split("/") if part]
    for place, part in enumerate(parts):
        if place and part[0].isdigit() and parts[place - 1][-1].isdigit() and "/" not in part:
            words.append("to")
        words.extend(_piece(part))
    return words


def _piece(part: str) -> list[str]:
    if part[0] == "#" and part[1:].isdigit():
        return ["number", part[1:]]
    if match := _LETTERED.fullmatch(part):
        return [match[1], match[2] + match[3]]
    if part[0].isdigit() or (part[0] == "." and part[1:2].isdigit()):
        match = _NUMERAL.fullmatch(part)
        if match is None:
            return [part]
        number, rest = match[1].replace(",", "") + (match[2] or ""), match[3].removeprefix("'")
        if not rest:
            return [number]
        if match[2] and rest in ("th", "ths"):
            return [number]
        if rest == "s" or rest in ("st", "nd", "rd", "th", "ths"):
            return [number + rest]
        return [number, rest.rstrip(".")] if _SUFFIX.fullmatch(rest) else [part]
    if "'" in part and part not in _KEPT_WHOLE and (match := _CONTRACTED.fullmatch(part)):
        return [match[1], match[2]]
    return [part]
