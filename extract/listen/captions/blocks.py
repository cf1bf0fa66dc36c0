"""The layout that WebVTT and SubRip share: blocks with a line of times, text below it, a blank line after it.

Written here rather than taken from pysubs2 or webvtt-py: for malformed files these return no cues, skip cues or keep
an end before its start without a word, and they do not say in which line anything stood. Both are what the tests
compare with.
"""

import re
from collections.abc import Callable, Sequence

from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.extract.listen.captions.times import ReadTime, read_time
from vouchbook.models.record import Record

ARROW = "-->"
_TIMING_LINE = re.compile(r"^[ \t]*\d[\d:.,]*[ \t]*-->[ \t]*\d", re.MULTILINE | re.ASCII)


class Block(Record):
    """A line of times, whose place in the file is ``line``, and the text below it."""

    line: int
    start_s: float | None
    end_s: float | None
    text: str


class BlockRules(Record):
    """Where the two formats differ. A comment and all up to the next blank line is no talk."""

    point: str
    is_identifier: Callable[[str], bool]
    is_comment: Callable[[str], bool]


def has_timing_line(text: str) -> bool:
    """Whether some line looks like ``00:01.000 --> 00:02.000``."""
    return _TIMING_LINE.search(text) is not None


def scan(lines: Sequence[str], first_line: int, rules: BlockRules, notes: Notes) -> list[Block]:
    """The blocks of ``lines``, the first of which is line ``first_line`` of the file.

    Text that stands under no line of times is given to the caption before it; before the first caption it is quoted in
    a note. Words are never dropped without one.
    """
    scanner = _Scanner(rules, notes)
    for number, line in enumerate(lines, first_line):
        scanner.take(number, line)
    return scanner.finish()


class _Scanner:
    def __init__(self, rules: BlockRules, notes: Notes) -> None:
        self._rules = rules
        self._notes = notes
        self._open: list[tuple[int, str, list[str]]] = []
        """Line, times and text of each block so far."""
        self._in_text = False
        self._in_comment = False
        self._pending: list[tuple[int, str]] = []
        """Lines since the last blank one that may be an identifier, or text without times."""

    def take(self, number: int, line: str) -> None:
        if _is_times(line):
            self._begin(number, line)
        elif not line.strip():
            self._release(self._pending)
            self._in_text = self._in_comment = False
        elif self._in_text:
            self._open[-1][2].append(line)
        elif self._in_comment:
            pass
        elif not self._pending and self._rules.is_comment(line):
            self._in_comment = True
        else:
            self._pending.append((number, line))

    def finish(self) -> list[Block]:
        self._release(self._pending)
        return [self._block(line, times, text) for line, times, text in self._open]

    def _begin(self, number: int, line: str) -> None:
        if self._in_text and self._open[-1][2] and self._open[-1][2][-1].strip().isdigit():
            self._open[-1][2].pop()
            self._notes.add("no blank line before this caption", number)
        elif self._pending and self._rules.is_identifier(self._pending[-1][1]):
            self._pending.pop()
        self._release(self._pending)
        self._open.append((number, line, []))
        self._in_text, self._in_comment = True, False

    def _release(self, loose: list[tuple[int, str]]) -> None:
        for number, line in loose:
            if line.strip().isdigit():
                self._notes.add("a number without a caption, set aside", number)
            elif self._open:
                self._open[-1][2].append(line)
                self._notes.add("text without times, taken as part of the caption before it", number)
            else:
                self._notes.add(f"text before the first caption, set aside: {line.strip()!r}", number)
        loose.clear()

    def _block(self, number: int, line: str, text: list[str]) -> Block:
        before, _, after = line.partition(ARROW)
        written = (before.strip(), (after.split() or [""])[0])
        fields = max(text.count(":") for text in written)
        times = [self._time(text, fields) for text in written]
        for time in times:
            if time.defect:
                self._notes.add(time.defect, number)
        return Block(line=number, start_s=times[0].seconds, end_s=times[1].seconds, text="\n".join(text))

    def _time(self, text: str, fields: int) -> ReadTime:
        """``text`` as a time; beside one with hours, two numbers alone may be hours and minutes that were cut off."""
        if text.count(":") == 1 < fields and "." not in text and "," not in text:
            return ReadTime(seconds=None, defect=f"{text!r} is not a time, it is half written")
        return read_time(text, self._rules.point)


def _is_times(line: str) -> bool:
    """Whether a line tries to give times; an arrow in somebody's words does not."""
    before, arrow, after = line.partition(ARROW)
    before, after = before.strip(), after.strip()
    if not arrow or len(before.split()) > 1:
        return False
    return (not before or any(c.isdigit() for c in before)) and (
        (":" in before and not after) or (bool(after) and any(c.isdigit() for c in after.split()[0]))
    )
