"""Plain text with time marks: ``[1:05] Name: what was said``."""

import re
from collections import Counter
from itertools import groupby
from operator import itemgetter

from vouchbook.extract.listen.captions.cues import CaptionFormat, Captions, Certainty, Cue, Run, words_of
from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.extract.listen.captions.times import mark, read_time
from vouchbook.models.errors import CaptionError
from vouchbook.models.record import Record
from vouchbook.models.transcript import Transcript

_MARK = re.compile(r"\[\s*(\d{1,4}:\d{1,2}(?::\d{1,2})?(?:[.,]\d{1,3})?)\s*\]", re.ASCII)
_LABEL = re.compile(r"\s*([^\W\d_][\w.'\u2019-]{0,30}(?: [\w.'\u2019-]{1,30}){0,2}):(?=\s|$)")
_TALK = """
danger warning caution notice note notes important remember never always stop first second third next then finally last
step steps tip question answer so and but or no yes okay ok well now right again also rule reminder example tools tool
location attention alert hazard beware prohibited
"""
# Before a colon these are part of the talk: a signal word (ANSI Z535) taken for a name would be lost from it.
_NO_NAMES = frozenset(_TALK.split())


class _Said(Record):
    """What follows a mark: ``label`` may be the name of who speaks, ``text`` still holds it."""

    line: int
    start_s: float | None
    label: str | None
    text: str


def _recognise(text: str) -> Certainty:
    return "possible" if _MARK.search(text) else "no"


def _read(text: str, name: str, notes: Notes) -> Captions:
    marks = list(_MARK.finditer(text))
    if not marks:
        raise CaptionError(
            name,
            "the text holds no time marks such as [1:05]",
            "Put one before each thing that was said, or give WebVTT",
        )
    said = []
    line, counted_to = 1, 0
    for match, following in zip(marks, [*marks[1:], None], strict=True):
        line += _line_breaks(text[counted_to : match.start()])
        counted_to = match.start()
        body = text[match.end() : following.start() if following else len(text)]
        label = _LABEL.match(body)
        said.append(
            _Said(line=line, start_s=_seconds(match[1], line, notes), label=label[1] if label else None, text=body)
        )
    voices = _voices(said)
    if voices:
        notes.add(f"Voices taken from the names before a colon: {', '.join(sorted(voices))}")
    cues = _before_first_mark(text[: marks[0].start()], said[0].start_s, notes)
    return Captions(cues=(*cues, *(_cue(entry, voices) for entry in said)))


def _line_breaks(text: str) -> int:
    return text.count("\n") + text.count("\r") - text.count("\r\n")


def _seconds(text: str, line: int, notes: Notes) -> float | None:
    time = read_time(text, ".")
    if time.seconds is None:
        notes.add(time.defect, line)
    return time.seconds


def _voices(said: list[_Said]) -> frozenset[str]:
    """The labels that are names.

    "Danger:" before a sentence is talk; so is a label that comes only once, unless everything that was said has one.
    A name left among the words does no harm, a word taken for a name is lost.
    """
    labels = Counter(entry.label for entry in said if entry.label and _may_be_name(entry.label))
    all_labelled = labels.total() == len(said)
    return frozenset(label for label, times in labels.items() if times > 1 or all_labelled)


def _may_be_name(label: str) -> bool:
    words = label.split()
    return words[0][0].isupper() and not any(word.strip(".").lower() in _NO_NAMES for word in words)


def _cue(entry: _Said, voices: frozenset[str]) -> Cue:
    voice = entry.label if entry.label in voices else None
    text = entry.text[entry.text.index(":") + 1 :] if voice else entry.text
    return Cue(line=entry.line, start_s=entry.start_s, end_s=None, words=words_of([Run(text=text, voice=voice)]))


def _before_first_mark(text: str, first_s: float | None, notes: Notes) -> tuple[Cue, ...]:
    words = words_of([Run(text=text)])
    if not words:
        return ()
    if first_s:
        notes.add("words before the first time mark, kept as said before it", 1)
        return (Cue(line=1, start_s=0, end_s=first_s, words=words),)
    notes.add(f"words before the first time mark, set aside: {' '.join(word.text for word in words)!r}", 1)
    return ()


def _write(transcript: Transcript) -> str:
    """One row for each voice of each line; seconds are whole, a voice is named where one is known."""
    rows = []
    for line in transcript.lines:
        words = transcript.words[line.first_word : line.last_word + 1]
        for voice, group in groupby(words, key=lambda word: word.voice):
            said = list(group)
            label = f"{voice}: " if voice else ""
            text = " ".join(word.text for word in said)
            rows.append((said[0].start_s, f"[{mark(said[0].start_s)}] {label}{text}\n"))
    return "".join(row for _, row in sorted(rows, key=itemgetter(0)))


FORMAT = CaptionFormat(
    label="plain text", endings=(".txt", ".text", ".md"), recognise=_recognise, read=_read, write=_write
)
