"""Times in captions: read with their defects named, written without any.

Grammar: WebVTT (W3C), ``[HH:]MM:SS.mmm``, minutes and seconds 00 to 59; SubRip has no standard and is commonly
``HH:MM:SS,mmm``.
"""

import re

from vouchbook.models.record import Record

_TIME = re.compile(r"(?:(\d{1,4}):)?(\d{1,4}):(\d{1,4})(?:([.,])(\d{1,9}))?", re.ASCII)


class ReadTime(Record):
    """``seconds`` is None when the time cannot be read. ``defect`` is empty for a time that is written well."""

    seconds: float | None
    defect: str = ""


def read_time(text: str, point: str) -> ReadTime:
    """The time that ``text`` says, where the format separates milliseconds by ``point``.

    What may be the beginning of another time is none: "00:01:2" was cut off anywhere from 00:01:02 to 00:01:29. A cut
    in the fraction leaves the second that was meant.
    """
    match = _TIME.fullmatch(text)
    if match is None:
        return ReadTime(seconds=None, defect=f"{text!r} is not a time")
    hours, minutes, seconds, used_point, fraction = match.groups()
    if int(seconds) > 59 or (hours is not None and int(minutes) > 59):
        return ReadTime(seconds=None, defect=f"{text!r} is not a time, minutes and seconds go to 59")
    if len(seconds) == 1 and fraction is None:
        return ReadTime(seconds=None, defect=f"{text!r} is not a time, it is half written")
    # Whole milliseconds until the last moment: 1.127 s is one number, however it was reached.
    whole = 3600 * int(hours or 0) + 60 * int(minutes) + int(seconds)
    value = (1000 * whole + int(f"{fraction or ''}000"[:3])) / 1000
    if used_point is not None and used_point != point:
        return ReadTime(seconds=value, defect=f"times use {used_point!r} where the format has {point!r}, read as that")
    if int(minutes) > 59 or len(minutes) != 2 or len(seconds) != 2 or fraction is None or len(fraction) != 3:
        return ReadTime(seconds=value, defect="times are not written as HH:MM:SS and three digits, read all the same")
    return ReadTime(seconds=value)


def clock(milliseconds: int) -> tuple[int, int, int, int]:
    """Hours, minutes, seconds and milliseconds of a time that is not negative."""
    seconds, millis = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return hours, minutes, seconds, millis


def cue_milliseconds(start_s: float, end_s: float) -> tuple[int, int]:
    """Start and end as whole milliseconds; the end is after the start, as WebVTT demands."""
    start = round(start_s * 1000)
    return start, max(round(end_s * 1000), start + 1)


def mark(start_s: float) -> str:
    """``m:ss``, or ``h:mm:ss`` from an hour on, as people write it; fractions are cut off."""
    hours, minutes, seconds, _ = clock(int(start_s) * 1000)
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"
