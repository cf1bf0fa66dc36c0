"""In which line of a TOML text each of its values stands; the parser of the standard library does not tell."""

import re
import tomllib
from dataclasses import dataclass, field

from vouchbook.extract.packs.table import Place

_PIECE = re.compile(
    r'''(?P<text>"""(?:\\.|[^\\])*?"{3,5}|\'{3}.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*')'''
    r"""|(?P<comment>\#[^\n]*)|(?P<newline>\n)|(?P<mark>[\[\]{}=,.])|(?P<bare>[^\s\[\]{}=,.\#"']+)""",
    re.DOTALL,
)


def lines_of(text: str) -> dict[Place, int]:
    """For each key and list element of ``text``, which must be TOML, the line (from 1) in which it begins."""
    scan, line, seen = _Scan(), 1, 0
    for match in _PIECE.finditer(text):
        line += text.count("\n", seen, match.start())
        seen = match.start()
        scan.take(str(match.lastgroup), match[0], line)
    return scan.lines


def line_of(lines: dict[Place, int], place: Place) -> int | None:
    """The line of ``place``, or of the nearest thing around it; None for what stands nowhere in the file."""
    for length in range(len(place), 0, -1):
        if place[:length] in lines:
            return lines[place[:length]]
    return None


@dataclass
class _Open:
    """A list, or a table, that has begun: the number of the element, or the key (and whether its ``=`` was seen)."""

    place: Place
    is_list: bool = False
    index: int = 0
    keys: list[str] = field(default_factory=list)
    key_line: int = 0
    after_equals: bool = False


class _Scan:
    """Takes the pieces one by one. A text that is TOML needs no look ahead: only where keys and elements begin."""

    def __init__(self) -> None:
        self.lines: dict[Place, int] = {}
        self._rows: dict[Place, int] = {}  # the number of the last [[row]] of each list of tables
        self._open = [_Open(())]
        self._header: str | None = None

    def take(self, kind: str, piece: str, line: int) -> None:
        """Notes where ``piece`` begins something."""
        inner = self._open[-1]
        if kind == "comment":
            return
        if kind == "newline":
            if len(self._open) == 1:
                self._open = [_Open(inner.place)]
                self._header = None
        elif inner.is_list:
            self._in_list(inner, piece, line)
        elif inner.after_equals:
            self._after_equals(inner, piece, line)
        elif len(self._open) == 1 and piece in {"[", "]"}:
            self._in_header(inner, piece)
        else:
            self._in_key(inner, kind, piece, line)

    def _in_list(self, inner: _Open, piece: str, line: int) -> None:
        if piece == "]":
            self._open.pop()
        elif piece == ",":
            inner.index += 1
        else:
            self._value((*inner.place, inner.index), piece, line)

    def _after_equals(self, inner: _Open, piece: str, line: int) -> None:
        if piece == "}":
            self._open.pop()
        elif piece == ",":
            inner.keys, inner.after_equals = [], False
        else:
            self._value((*inner.place, *inner.keys), piece, line)

    def _in_header(self, inner: _Open, piece: str) -> None:
        """``[a.b]`` and ``[[a.b]]``: the table that the next lines belong to."""
        if piece == "[":
            self._header = "[[" if self._header else "["
        elif inner.keys:
            place: Place = ()
            for key in inner.keys[:-1]:
                place = self._last_row((*place, key))
            place = (*place, inner.keys[-1])
            if self._header == "[[":
                self.lines.setdefault(place, inner.key_line)
                self._rows[place] = self._rows.get(place, -1) + 1
            place = self._last_row(place)
            self.lines.setdefault(place, inner.key_line)
            inner.place, inner.keys = place, []

    def _in_key(self, inner: _Open, kind: str, piece: str, line: int) -> None:
        if piece == "}":  # an empty table, or one behind a comma
            self._open.pop()
        elif piece == "=":
            inner.after_equals = True
            for length in range(1, len(inner.keys) + 1):
                self.lines.setdefault((*inner.place, *inner.keys[:length]), inner.key_line)
        elif piece != ".":
            inner.keys.append(tomllib.loads(f"key = {piece}")["key"] if kind == "text" else piece)
            inner.key_line = line

    def _value(self, place: Place, piece: str, line: int) -> None:
        self.lines.setdefault(place, line)
        if piece in {"[", "{"}:
            self._open.append(_Open(place, is_list=piece == "["))

    def _last_row(self, place: Place) -> Place:
        return (*place, self._rows[place]) if place in self._rows else place
