"""Caption files in and out. A new format is one file and one line in ``FORMATS``."""

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path, PurePath

from vouchbook.extract.listen.captions import plain_text, subrip, timed_json, webvtt
from vouchbook.extract.listen.captions.assembly import TimedCue, line_of, timed_cues, timed_words
from vouchbook.extract.listen.captions.cues import CaptionFormat, Captions
from vouchbook.extract.listen.captions.decoding import MAX_BYTES, decode
from vouchbook.extract.listen.captions.english import looks_english
from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.models.errors import CaptionError, SettingError
from vouchbook.models.transcript import Line, Source, Transcript, Word

FORMATS: Mapping[str, CaptionFormat] = {
    "srt": subrip.FORMAT,
    "vtt": webvtt.FORMAT,
    "txt": plain_text.FORMAT,
    "json": timed_json.FORMAT,
}
MIN_DECLARED_WORDS = 10
"""Fewer words than usual are enough to doubt a file that itself names another language."""


def read_captions(path: Path, duration_s: float | None = None) -> Transcript:
    """The transcript in a caption file, see :func:`captions_from_bytes`.

    Raises:
        CaptionError: the file cannot be opened, or nothing usable comes from it.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise CaptionError(path.name, f"cannot be opened ({reason})", "Check the path and its permissions") from error
    return captions_from_bytes(data, path.name, duration_s)


def captions_from_bytes(data: bytes, name: str, duration_s: float | None = None) -> Transcript:
    """The transcript in ``data``, the content of a file called ``name``.

    Words are the whitespace-separated tokens of each caption, tags removed and character references replaced. What was
    repaired or set aside is in ``notes``. ``duration_s`` is the length of the recording, where there is one.

    Raises:
        CaptionError: nothing usable, not English, or times of another recording.
    """
    notes = Notes()
    text = decode(data, name, notes)
    captions = _format_of(text, name, notes).read(text, name, notes)
    cues = timed_cues(captions.cues, notes)
    if not cues:
        _refuse(captions, name)
    _check_end(cues, duration_s, name, notes)
    words: list[Word] = []
    lines: list[Line] = []
    for cue in cues:
        lines.append(line_of(cue, len(words)))
        words.extend(timed_words(cue, notes))
    _check_language(words, captions.language, name, notes)
    return Transcript(
        sources=(Source(name=name, sha256=sha256(data).hexdigest(), duration_s=duration_s, kind="captions"),),
        language="en",
        made_by="captions",
        duration_s=max(duration_s or 0, *(line.end_s for line in lines), 0),
        words=tuple(words),
        lines=tuple(lines),
        notes=notes.sentences(),
    )


def write_captions(transcript: Transcript, format_name: str) -> str:
    """The transcript as text of the format "vtt", "srt", "txt" or "json".

    WebVTT and plain text keep voices, JSON keeps everything about the words, SRT keeps text and times only.

    Raises:
        SettingError: no such format.
    """
    caption_format = FORMATS.get(format_name)
    if caption_format is None:
        raise SettingError(f"{format_name}: not a caption format. Choose one of {', '.join(sorted(FORMATS))}.")
    return caption_format.write(transcript)


def _format_of(text: str, name: str, notes: Notes) -> CaptionFormat:
    """The format that the content shows, or that the ending names when the content leaves it open."""
    ending = PurePath(name).suffix.lower()
    named = next((entry for entry in FORMATS.values() if ending in entry.endings), None)
    shown = {entry.label: entry.recognise(text) for entry in FORMATS.values()}
    for certainty in ("certain", "possible"):
        fitting = [entry for entry in FORMATS.values() if shown[entry.label] == certainty]
        if named in fitting:
            return named
        if fitting:
            notes.add(f"The name ends in {ending or 'nothing'}, the content is {fitting[0].label}; read as that")
            return fitting[0]
    if named is not None:
        return named
    known = ", ".join(f"{entry.label} ({entry.endings[0]})" for entry in FORMATS.values())
    raise CaptionError(name, "not a kind of captions that is known", f"Give one of {known}")


def _refuse(captions: Captions, name: str) -> None:
    if any(cue.words for cue in captions.cues):
        raise CaptionError(
            name,
            f"none of its {len(captions.cues)} captions has a time that can be read",
            "Mend the times, in WebVTT they look like 00:01:05.000 --> 00:01:09.500",
        )
    problem = "its captions hold no words" if captions.cues else "no captions in it"
    raise CaptionError(name, problem, "Export the captions again, or give the recording instead")


def _check_end(cues: list[TimedCue], duration_s: float | None, name: str, notes: Notes) -> None:
    if duration_s is None:
        return
    past = [cue for cue in cues if cue.start_s >= duration_s]
    if len(past) * 2 > len(cues):
        raise CaptionError(
            name,
            f"{len(past)} of {len(cues)} captions begin after the recording ends ({duration_s:.1f} s)",
            "Give the captions of this recording, or the captions without it",
        )
    for cue in cues:
        if cue.start_s >= duration_s:
            notes.add(f"begins after the recording ends ({duration_s:.1f} s), kept", cue.line)
        elif cue.end_s > duration_s + 1:  # players and recognisers round the last caption up
            notes.add(f"ends after the recording ends ({duration_s:.1f} s), kept", cue.line)


def _check_language(words: list[Word], declared: str | None, name: str, notes: Notes) -> None:
    texts = [word.text for word in words]
    foreign = declared is not None and declared.lower().split("-")[0] not in ("", "en", "english", "eng")
    english = looks_english(texts, MIN_DECLARED_WORDS) if foreign else looks_english(texts)
    if english is False or (foreign and not english):
        problem = "the words do not look like English" + (f" and the file says {declared!r}" if foreign else "")
        raise CaptionError(name, problem, "Give captions in English")
    if foreign:
        notes.add(f"The file says that its language is {declared!r}; the words look like English")
