"""From the bytes of a caption file to its text, each repair noted."""

import codecs
import re

from vouchbook.extract.listen.captions.cues import split_lines
from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.models.errors import CaptionError

MAX_BYTES = 64 * 1024 * 1024  # captions of a two-hour talk with word times are about 3 MB
_BOMS = (  # UTF-32 first: its little-endian mark begins with that of UTF-16
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_LEGACY = ("cp1252", "mac_roman", "cp850")
"""What programs of English-speaking countries wrote before UTF-8, the most frequent first."""
_USUAL = frozenset("\u2018\u2019\u201c\u201d\u2013\u2014\u2026\u2022£€°½¼¾×±²³µ™©®éèêëáàâäíîïóôöúûüçñßåøæ")
"""Characters beyond ASCII that English talk is written with."""
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1b\x7f]")
_MEDIA = (b"RIFF", b"OggS", b"ID3", b"fLaC", b"\x1aE\xdf\xa3", b"\xff\xfb", b"\xff\xf3")


def decode(data: bytes, name: str, notes: Notes) -> str:
    """The text of a caption file.

    Raises:
        CaptionError: empty, too large, a recording, or not text at all.
    """
    if not data.strip():
        raise CaptionError(name, "the file is empty", "Give a file with captions")
    if len(data) > MAX_BYTES:
        raise CaptionError(name, f"larger than {MAX_BYTES // 2**20} MiB, so not captions", "Give a file with captions")
    if data.startswith(_MEDIA) or data[4:8] == b"ftyp":
        raise CaptionError(name, "a recording, not captions", "Give it as the recording")
    text = _decode(data, name, notes)
    controls = len(_CONTROL.findall(text))
    if controls * 100 > len(text) or "\x00" in text:
        raise CaptionError(name, "not text", "Give captions as WebVTT, SRT, plain text or JSON")
    return text


def _decode(data: bytes, name: str, notes: Notes) -> str:
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            return _lossy(data[len(bom) :], encoding, notes)
    zeros = (data[0::2].count(0), data[1::2].count(0))
    if max(zeros) * 4 > len(data) and min(zeros) * 100 < len(data):
        encoding = "utf-16-le" if zeros[1] > zeros[0] else "utf-16-be"
        notes.add("The file is UTF-16 without saying so, read all the same")
        return _lossy(data, encoding, notes)
    if b"\x00" in data:
        raise CaptionError(name, "not text", "Give captions as WebVTT, SRT, plain text or JSON")
    try:
        return data.decode()
    except UnicodeDecodeError:
        return _mixed(data, notes)


def _lossy(data: bytes, encoding: str, notes: Notes) -> str:
    text = data.decode(encoding, errors="replace")
    for number, line in enumerate(split_lines(text), 1):
        if "\ufffd" in line:
            notes.add(f"bytes that are not {encoding.upper()}, shown as \ufffd", number)
    return text


def _mixed(data: bytes, notes: Notes) -> str:
    """Line by line: files put together from two sources hold two encodings."""
    lines = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    legacy = _legacy_encoding(b"\n".join(line for line in lines if not _is_utf8(line)))
    texts = []
    for number, line in enumerate(lines, 1):
        if _is_utf8(line):
            texts.append(line.decode())
            continue
        texts.append(line.decode(legacy, errors="replace"))
        notes.add(f"not UTF-8, read as {legacy}", number)
        if "\ufffd" in texts[-1]:
            notes.add(f"bytes that are not {legacy} either, shown as \ufffd", number)
    return "\n".join(texts)


def _is_utf8(line: bytes) -> bool:
    try:
        line.decode()
    except UnicodeDecodeError:
        return False
    return True


def _legacy_encoding(data: bytes) -> str:
    """The encoding that gives most of the usual characters.

    General detectors need more text of one kind: on single sentences charset-normalizer took Mac Roman for cp850.
    """
    return max(_LEGACY, key=lambda encoding: sum(c in _USUAL for c in data.decode(encoding, errors="replace")))
