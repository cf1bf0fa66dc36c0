"""Rows of any table as lines of JSON and back, the same from both databases."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import JSON, Boolean, Column, Date, Double, Integer, Select, Text, select
from sqlalchemy import Table as SqlTable
from sqlalchemy.orm import Session

from vouchbook.library.audit.chain import canonical
from vouchbook.library.store.base import Table
from vouchbook.library.store.columns import UtcTime, holds_nul
from vouchbook.models.errors import DocumentError

Values = dict[str, Any]

_PART = 200
_LEFT_OUT = {"sign_in", "sign_in_try"}
"""A browser's session ends where its library is moved or restored, and failures to sign in are forgotten."""
_PLAIN: tuple[tuple[type, tuple[type, ...]], ...] = (
    (Boolean, (bool,)),
    (Integer, (int,)),
    (Double, (float, int)),
    (Text, (str,)),
)


def tables() -> tuple[SqlTable, ...]:
    """All tables that are moved, those first to which others point."""
    return tuple(table for table in Table.metadata.sorted_tables if table.name not in _LEFT_OUT)


def rows(session: Session, asked: Select[Any]) -> Iterator[Values]:
    """What ``asked`` for, as JSON has it: times and days in ISO form."""
    for row in session.execute(asked.execution_options(yield_per=_PART)).mappings():
        yield {str(name): _told(value) for name, value in row.items()}


def all_rows(session: Session, table: SqlTable) -> Iterator[Values]:
    """All rows of ``table``, by their number."""
    return rows(session, select(table).order_by(*table.primary_key.columns))


def lines(found: Iterable[Values]) -> Iterator[bytes]:
    """Each row as one line."""
    return (canonical(row) for row in found)


def read_lines(path: Path) -> Iterator[Values]:
    """The rows of a file.

    Raises:
        DocumentError: a line is no object of JSON.
    """
    with path.open("rb") as file:
        for number, line in enumerate(file, 1):
            try:
                row = json.loads(line)
            except (ValueError, RecursionError):
                row = None
            if not isinstance(row, dict):
                raise DocumentError(path.name, f"line {number} is no row", "Export the bag again")
            yield row


def stored(table: SqlTable, row: Mapping[str, Any]) -> Values:
    """``row`` as the database takes it.

    Raises:
        DocumentError: it has other columns than ``table``, or values of another kind.
    """
    columns = {column.name: column for column in table.columns}
    strange = set(row) - set(columns)
    lacking = {name for name, column in columns.items() if name not in row and not column.nullable}
    if strange or lacking:
        raise _wrong(table, f"{min(strange | lacking)!r:.60} is not as it should be in its columns")
    return {name: _read(table, columns[name], value) for name, value in row.items()}


def parts(found: Iterable[Values], size: int = _PART) -> Iterator[Sequence[Values]]:
    """``found``, so many at a time."""
    part: list[Values] = []
    for row in found:
        part.append(row)
        if len(part) == size:
            yield part
            part = []
    if part:
        yield part


def _told(value: object) -> object:
    return value.isoformat() if isinstance(value, date | datetime) else value


def _read(table: SqlTable, column: Column[Any], value: Any) -> Any:  # noqa: ANN401  any value of JSON
    kind = column.type
    if value is None:
        if not column.nullable:
            raise _wrong(table, f"{column.name} is empty")
        return None
    if holds_nul(value):
        raise _wrong(table, f"{column.name} holds a character that no database takes")
    if isinstance(kind, JSON):
        return value
    if isinstance(kind, UtcTime | Date):
        try:
            read = datetime.fromisoformat(value) if isinstance(kind, UtcTime) else date.fromisoformat(value)
        except (TypeError, ValueError):
            raise _wrong(table, f"{column.name} is no time") from None
        if isinstance(read, datetime) and read.tzinfo is None:
            raise _wrong(table, f"{column.name} has no time zone")
        return read
    for known, allowed in _PLAIN:
        if isinstance(kind, known):
            if not isinstance(value, allowed) or (isinstance(value, bool) and known is not Boolean):
                raise _wrong(table, f"{column.name} is of another kind")
            return value
    raise TypeError(f"{table.name}.{column.name} has a type of which nothing is known here")


def _wrong(table: SqlTable, problem: str) -> DocumentError:
    return DocumentError(f"rows of {table.name}", problem, "Use no bag of a source that you do not know")
