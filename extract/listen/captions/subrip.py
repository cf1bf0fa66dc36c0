"""SubRip (SRT). No standard: numbers from 1, comma before the milliseconds, a few HTML tags."""

import re

from vouchbook.extract.listen.captions.blocks import ARROW, Block, BlockRules, has_timing_line, scan
from vouchbook.extract.listen.captions.cues import (
    CaptionFormat,
    Captions,
    Certainty,
    Cue,
    Run,
    split_lines,
    unescape,
    words_of,
)
from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.extract.listen.captions.times import clock, cue_milliseconds
from vouchbook.models.transcript import Transcript

_BREAK = re.compile(r"<br\s*/?>", re.IGNORECASE)
_TAG = re.compile(r"</?(?:i|b|u|s|c|font|span|em|strong|p)(?:\s[^<>]*)?/?>|\{\\[^{}]*\}", re.IGNORECASE)
_RULES = BlockRules(
    point=",",
    is_identifier=lambda line: line.strip().isdigit(),
    is_comment=lambda _line: False,
)


def _recognise(text: str) -> Certainty:
    return "possible" if has_timing_line(text) else "no"


def _read(text: str, name: str, notes: Notes) -> Captions:  # noqa: ARG001  the file's name is for formats that can fail
    return Captions(cues=tuple(_cue(block) for block in scan(split_lines(text), 1, _RULES, notes)))


def _cue(block: Block) -> Cue:
    text = unescape(_TAG.sub("", _BREAK.sub(" ", block.text)))
    return Cue(line=block.line, start_s=block.start_s, end_s=block.end_s, words=words_of([Run(text=text)]))


def _write(transcript: Transcript) -> str:
    """SubRip without voices, for which it has no sign, and without escapes, which players would show."""
    cues = []
    for number, line in enumerate(sorted(transcript.lines, key=lambda line: line.start_s), 1):
        start, end = cue_milliseconds(line.start_s, line.end_s)
        text = transcript.text(line.first_word, line.last_word)
        cues.append(f"{number}\n{_time(start)} {ARROW} {_time(end)}\n{text}\n")
    return "\n".join(cues)


def _time(milliseconds: int) -> str:
    hours, minutes, seconds, millis = clock(milliseconds)
    return f"{hours:02}:{minutes:02}:{seconds:02},{millis:03}"


FORMAT = CaptionFormat(label="SubRip", endings=(".srt",), recognise=_recognise, read=_read, write=_write)
