"""What a caption file had wrong, gathered while it is read: one sentence a defect, with its lines."""

SHOWN_LINES = 8


class Notes:
    """Sentences about one file, in the order in which their defects were met.

    The same defect on many lines is one sentence: a file whose 500 times all use a comma has one thing wrong with it.
    """

    def __init__(self) -> None:
        self._lines: dict[str, list[int]] = {}
        self._unit = "Line"

    def count_segments(self) -> None:
        """Say "Segment" instead of "Line": the places in this file are entries of a list."""
        self._unit = "Segment"

    def add(self, sentence: str, line: int | None = None) -> None:
        """Note ``sentence``, without its full stop, for line or segment ``line`` (from 1) or for the whole file."""
        lines = self._lines.setdefault(sentence, [])
        if line is not None and line not in lines[-1:]:
            lines.append(line)

    def sentences(self) -> tuple[str, ...]:
        """All notes as sentences that begin with their lines."""
        return tuple(f"{self._place(lines)}{sentence}." for sentence, lines in self._lines.items())

    def _place(self, lines: list[int]) -> str:
        if not lines:
            return ""
        if len(lines) == 1:
            return f"{self._unit} {lines[0]}: "
        if len(lines) > SHOWN_LINES:
            shown = ", ".join(map(str, lines[:SHOWN_LINES]))
            return f"{self._unit}s {shown} and {len(lines) - SHOWN_LINES} more: "
        return f"{self._unit}s {', '.join(map(str, lines[:-1]))} and {lines[-1]}: "
