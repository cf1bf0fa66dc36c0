"""What every caption format is read into: cues with words, some of whose times may be unknown."""

import html
import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import Literal

from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.models.record import Record
from vouchbook.models.transcript import Timing, Transcript

_ENTITY = re.compile(r"&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")


class CueWord(Record):
    """A whitespace-separated token of a cue. Unknown times are None; ``timing`` is None where the assembler decides."""

    text: str
    voice: str | None = None
    probability: float | None = None
    start_s: float | None = None
    end_s: float | None = None
    timing: Timing | None = None


class Cue(Record):
    """One caption as its file gives it; ``line`` counts from 1. A time that cannot be read is None."""

    line: int
    start_s: float | None
    end_s: float | None
    words: tuple[CueWord, ...]


class Run(Record):
    """Text of one voice. ``start_s`` is an inline time that stands right before it."""

    text: str
    voice: str | None = None
    start_s: float | None = None


class Captions(Record):
    """A file's cues in the file's order, and the language that the file claims, if any."""

    cues: tuple[Cue, ...]
    language: str | None = None


Certainty = Literal["certain", "possible", "no"]


class CaptionFormat(Record):
    """A way of writing captions. ``read`` gets the text, the file's name for errors, and where to note defects."""

    label: str
    endings: tuple[str, ...]
    recognise: Callable[[str], Certainty]
    read: Callable[[str, str, Notes], Captions]
    write: Callable[[Transcript], str]


def split_lines(text: str) -> list[str]:
    """The lines of ``text``; unlike ``str.splitlines`` only CR, LF and CRLF end one, as in WebVTT."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def unescape(text: str) -> str:
    """``text`` with its HTML character references replaced; one without a semicolon ("R&D") is left alone."""
    return _ENTITY.sub(lambda match: html.unescape(match.group()), text)


def without_lone_surrogates(text: str) -> str:
    """``text`` that can be stored: JSON may hold halves of a character pair."""
    return _LONE_SURROGATE.sub("\ufffd", text)


def words_of(runs: Sequence[Run]) -> tuple[CueWord, ...]:
    """The whitespace-separated tokens of the runs put together.

    A tag inside a word does not split it. A word's voice is that of its first character; an inline time belongs to the
    first word that begins after it.
    """
    text = "".join(run.text for run in runs)
    borders = [0, *accumulate(len(run.text) for run in runs)]
    tokens = list(re.finditer(r"\S+", text))
    token_starts = [token.start() for token in tokens]
    start_s: dict[int, float] = {}
    for run, border in zip(runs, borders, strict=False):
        if run.start_s is not None:
            start_s[bisect_left(token_starts, border)] = run.start_s
    return tuple(
        CueWord(
            text=token.group(),
            voice=runs[bisect_right(borders, token.start()) - 1].voice,
            start_s=start_s.get(index),
        )
        for index, token in enumerate(tokens)
    )
