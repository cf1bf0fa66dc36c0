"""WebVTT (W3C), with voices and inline times."""

import re
from itertools import groupby

from vouchbook.extract.listen.captions.blocks import Block, BlockRules, has_timing_line, scan
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
from vouchbook.extract.listen.captions.times import clock, cue_milliseconds, read_time
from vouchbook.models.transcript import Transcript, Word

_SIGNATURE = re.compile(r"WEBVTT(?:[ \t].*)?")
_COMMENT = re.compile(r"NOTE(?:[ \t].*)?|STYLE[ \t]*|REGION[ \t]*")
# The tags of WebVTT, and those of HTML that people put into captions. Anything else in angle brackets is text:
# "<5 mm", "<unclear>".
_TAG = re.compile(
    r"<(?P<time>\d[\d:.,]*)>|<(?P<close>/?)(?P<name>v|c|i|b|u|s|lang|ruby|rt|font|span|em|strong|br|p)"
    r"(?P<rest>[./\s][^<>]*)?>",
    re.IGNORECASE,
)
_RULES = BlockRules(
    point=".",
    is_identifier=lambda line: bool(line.strip()),
    is_comment=lambda line: _COMMENT.fullmatch(line) is not None,
)


def _recognise(text: str) -> Certainty:
    first = split_lines(text.lstrip()[:200])[0]
    if _SIGNATURE.fullmatch(first):
        return "certain"
    return "possible" if has_timing_line(text) else "no"


def _read(text: str, name: str, notes: Notes) -> Captions:  # noqa: ARG001  the file's name is for formats that can fail
    lines = split_lines(text)
    skipped = next((index for index, line in enumerate(lines) if line.strip()), 0)
    if _SIGNATURE.fullmatch(lines[skipped]):
        if skipped:
            notes.add("WEBVTT is not on line 1, read all the same", skipped + 1)
        # The header runs to the first blank line, or to the first times where somebody forgot that line.
        while skipped < len(lines) and lines[skipped].strip() and not has_timing_line(lines[skipped]):
            skipped += 1
    else:
        notes.add("The file does not begin with WEBVTT, read all the same")
    blocks = scan(lines[skipped:], skipped + 1, _RULES, notes)
    return Captions(cues=tuple(_cue(block, notes) for block in blocks))


def _cue(block: Block, notes: Notes) -> Cue:
    runs: list[Run] = []
    voice: str | None = None
    start_s: float | None = None
    inline = False
    position = 0
    for tag in [*_TAG.finditer(block.text), None]:
        piece = block.text[position : tag.start() if tag else len(block.text)]
        if piece:
            runs.append(Run(text=unescape(piece), voice=voice, start_s=start_s))
            start_s = None
        if tag is None:
            break
        position = tag.end()
        if tag["time"]:
            time = read_time(tag["time"], ".")
            if time.defect:
                notes.add(f"inline: {time.defect}", block.line)
            start_s, inline = time.seconds, inline or time.seconds is not None
        elif tag["name"].lower() == "v":
            voice = None if tag["close"] else _voice(tag["rest"] or "")
        elif tag["name"].lower() in ("br", "p"):
            runs.append(Run(text=" ", voice=voice))
    words = words_of(runs)
    if inline and words and words[0].start_s is None:
        # With inline times, what stands before the first of them is said when the caption begins.
        words = (words[0].model_copy(update={"start_s": block.start_s}), *words[1:])
    return Cue(line=block.line, start_s=block.start_s, end_s=block.end_s, words=words)


def _voice(annotation: str) -> str | None:
    """The name in ``.class Name``: classes end at the first space."""
    _, _, name = annotation.replace("\n", " ").replace("\t", " ").partition(" ")
    return " ".join(unescape(name).split()) or None


def _write(transcript: Transcript) -> str:
    """WebVTT as the W3C defines it; starts never fall. Times of single words are not written: JSON carries them."""
    cues = []
    for line in sorted(transcript.lines, key=lambda line: line.start_s):
        start, end = cue_milliseconds(line.start_s, line.end_s)
        words = transcript.words[line.first_word : line.last_word + 1]
        cues.append(f"{_time(start)} --> {_time(end)}\n{_payload(words)}\n")
    return "\n".join(["WEBVTT\n", *cues])


def _time(milliseconds: int) -> str:
    hours, minutes, seconds, millis = clock(milliseconds)
    return (f"{hours:02}:" if hours else "") + f"{minutes:02}:{seconds:02}.{millis:03}"


def _payload(words: tuple[Word, ...]) -> str:
    spans = [
        (voice, " ".join(_escape(word.text) for word in group))
        for voice, group in groupby(words, key=lambda word: " ".join((word.voice or "").split()))
    ]
    if len(spans) == 1:  # the end tag may be left out when the voice speaks the whole cue
        voice, text = spans[0]
        return f"<v {_escape(voice)}>{text}" if voice else text
    return " ".join(f"<v {_escape(voice)}>{text}</v>" if voice else text for voice, text in spans)


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


FORMAT = CaptionFormat(label="WebVTT", endings=(".vtt", ".webvtt"), recognise=_recognise, read=_read, write=_write)
