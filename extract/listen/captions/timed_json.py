"""JSON in the shape that Whisper programs write: segments with text, seconds and perhaps words.

Read: ``{"segments": [...]}``, ``{"chunks": [...]}``, ``{"transcription": [...]}`` or the list alone; seconds as
``start`` and ``end``, as ``"timestamp": [start, end]`` or as ``"offsets": {"from": ms, "to": ms}``.
"""

import json
import math
from typing import Any

from vouchbook.extract.listen.captions.cues import (
    CaptionFormat,
    Captions,
    Certainty,
    Cue,
    CueWord,
    Run,
    without_lone_surrogates,
    words_of,
)
from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.models.errors import CaptionError
from vouchbook.models.transcript import Line, Transcript, Word

_LISTS = ("segments", "chunks", "transcription")
_REMEDY = 'Give JSON with "segments", each with "start", "end" and "text"'


def _recognise(text: str) -> Certainty:
    start = text.lstrip()[:1]
    if start == "{":
        return "certain"
    # A time mark of plain text opens with the same bracket: "[1:05] ...".
    return "certain" if start == "[" and text.lstrip()[1:].lstrip()[:1] in ("{", "]") else "no"


def _read(text: str, name: str, notes: Notes) -> Captions:
    notes.count_segments()
    try:
        data: Any = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise CaptionError(name, f"not JSON ({error})", _REMEDY) from error
    declared = data.get("language") if isinstance(data, dict) else None
    entries = next((data[key] for key in _LISTS if key in data), None) if isinstance(data, dict) else data
    if not isinstance(entries, list):
        raise CaptionError(name, "JSON without a list of segments", _REMEDY)
    cues = []
    for number, entry in enumerate(entries, 1):
        if isinstance(entry, dict):
            cues.append(_cue(entry, number, notes))
        else:
            notes.add("not a segment, set aside", number)
    return Captions(cues=tuple(cues), language=declared if isinstance(declared, str) else None)


def _cue(entry: dict[str, Any], number: int, notes: Notes) -> Cue:
    start_s, end_s = _span(entry)
    if start_s is None:
        notes.add("no start that can be read", number)
    speaker = _text(entry.get("speaker")) or None
    text = _text(entry.get("text"))
    plain = words_of([Run(text=text, voice=speaker)])
    timed = _timed_words(entry.get("words"), speaker)
    if timed and plain and [word.text for word in timed] != [word.text for word in plain]:
        notes.add("the timed words are not those of the text; the text is kept, its times are spread", number)
        timed = ()
    # Programs round the ends of a segment and of its words apart from each other.
    starts = [word.start_s for word in timed if word.start_s is not None]
    ends = [word.end_s for word in timed if word.end_s is not None]
    if starts and (start_s is None or starts[0] < start_s):
        start_s = starts[0]
    if ends and (end_s is None or ends[-1] > end_s):
        end_s = ends[-1]
    return Cue(line=number, start_s=start_s, end_s=end_s, words=timed or plain)


def _span(entry: dict[str, Any]) -> tuple[float | None, float | None]:
    offsets, stamp = entry.get("offsets"), entry.get("timestamp")
    if isinstance(offsets, dict):
        start_ms, end_ms = _number(offsets.get("from")), _number(offsets.get("to"))
        return (None if start_ms is None else start_ms / 1000, None if end_ms is None else end_ms / 1000)
    if isinstance(stamp, list) and len(stamp) == 2:
        return _number(stamp[0]), _number(stamp[1])
    return _number(entry.get("start")), _number(entry.get("end"))


def _number(value: object) -> float | None:
    """Seconds or milliseconds; None for what is no time. JSON of Python programs may hold NaN."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) and 0 <= number < 1e8 else None


def _text(value: object) -> str:
    return without_lone_surrogates(value) if isinstance(value, str) else ""


def _timed_words(entries: object, speaker: str | None) -> tuple[CueWord, ...]:
    """The words with their times.

    Where words carry a leading space, one without it belongs to the word before (" 10", "-mil"): its end becomes that
    word's end, its probability counts if it is lower.
    """
    if not isinstance(entries, list):
        return ()
    parts = [part for part in map(_part, entries) if part is not None]
    spaced = any(text[:1].isspace() for text, _ in parts[1:])
    words: list[CueWord] = []
    for text, entry in parts:
        start_s, end_s = _span(entry)
        probability = _probability(entry)
        voice = _text(entry.get("speaker")) or speaker
        tokens = text.split()
        if spaced and words and tokens and not text[0].isspace():
            before = words.pop()
            known = [p for p in (before.probability, probability) if p is not None]
            changes = {"text": before.text + tokens[0], "end_s": end_s, "probability": min(known, default=None)}
            words.append(before.model_copy(update=changes))
            tokens = tokens[1:]
        for index, token in enumerate(tokens):
            words.append(
                CueWord(
                    text=token,
                    voice=voice,
                    probability=probability,
                    start_s=start_s if index == 0 else None,
                    end_s=end_s if index == len(tokens) - 1 else None,
                    timing="interpolated" if len(tokens) > 1 or entry.get("timing") == "interpolated" else None,
                )
            )
    return tuple(words)


def _part(entry: object) -> tuple[str, dict[str, Any]] | None:
    if not isinstance(entry, dict):
        return None
    return _text(entry.get("word", entry.get("text"))), entry


def _probability(entry: dict[str, Any]) -> float | None:
    for key in ("probability", "score"):
        value = entry.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 1:
            return float(value)
    return None


def _write(transcript: Transcript) -> str:
    """Segments with words; ``speaker`` is the voice, ``timing`` says which seconds were spread over a caption."""
    data = {
        "language": transcript.language,
        "duration": transcript.duration_s,
        "text": transcript.text(0, len(transcript.words)),
        "segments": [_segment(number, line, transcript) for number, line in enumerate(transcript.lines)],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def _segment(number: int, line: Line, transcript: Transcript) -> dict[str, Any]:
    return {
        "id": number,
        "start": line.start_s,
        "end": line.end_s,
        "text": transcript.text(line.first_word, line.last_word),
        "words": [_word(word) for word in transcript.words[line.first_word : line.last_word + 1]],
    }


def _word(word: Word) -> dict[str, Any]:
    optional = {"probability": word.probability, "speaker": word.voice}
    return {
        "word": f" {word.text}",
        "start": word.start_s,
        "end": word.end_s,
        **{key: value for key, value in optional.items() if value is not None},
        "timing": word.timing,
    }


FORMAT = CaptionFormat(label="JSON", endings=(".json",), recognise=_recognise, read=_read, write=_write)
