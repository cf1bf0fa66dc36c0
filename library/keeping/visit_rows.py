"""All rows of one visit, found by following the references, so that a new table of a visit needs nothing here."""

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Column, Select, select
from sqlalchemy import Table as SqlTable
from sqlalchemy.orm import Session

from vouchbook.library.keeping.rows import Values, rows, tables
from vouchbook.library.store.people_tables import PersonRow
from vouchbook.library.store.tables import EditionRow, MediumRow, SubjectRow, VisitRow

OUTSIDE = {"person", "setting", "access_token", "saved_search", "task", "subject", "medium", "journal"}
"""Tables of which no row belongs to a visit; what a visit points to of them goes along."""
HIDDEN = "hidden in the library that it came from"

Rows = dict[str, list[Values]]


def rows_of_visit(session: Session, visit_id: int) -> Rows:
    """The visit's rows by table, in an order in which none points to a later one; of people number, login and name.

    What is hidden leaves the library as if it had been removed.
    """
    found: Rows = {}
    owned: dict[str, Select[Any]] = {}
    for table in tables():
        wanted = _wanted(table, owned, visit_id)
        if wanted is not None:
            found[table.name] = list(rows(session, wanted.order_by(*table.primary_key.columns)))
            if "id" in table.columns:
                owned[table.name] = wanted.with_only_columns(table.c.id)
    _stay_inside(found)
    people = PersonRow.__table__.c
    named: Select[Any] = select(*(people[name] for name in ("id", "login", "name")))
    outside: Rows = {
        "person": list(rows(session, named.where(PersonRow.id.in_(_pointed_at(found, "person"))).order_by("id"))),
        "subject": list(
            rows(session, select(SubjectRow.__table__).where(SubjectRow.id.in_(_pointed_at(found, "subject"))))
        ),
        "medium": [
            _as_seen(row)
            for row in rows(
                session,
                select(MediumRow.__table__)
                .where(MediumRow.sha256.in_(_pointed_at(found, "medium")))
                .order_by("sha256"),
            )
        ],
    }
    return outside | found


def owners(table: SqlTable) -> Mapping[str, str]:
    """The columns of ``table`` that point to another, and to which."""
    return {column.name: _target(column) for column in table.columns if column.foreign_keys}


def replaced(session: Session, found: Rows) -> dict[str, int]:
    """The number of the edition that each edition replaces, by the edition's own row number."""
    asked = {row["replaces_id"]: row["id"] for row in found["edition"] if row["replaces_id"] is not None}
    numbers = session.execute(select(EditionRow.id, EditionRow.number).where(EditionRow.id.in_(asked)))
    return {str(asked[row_id]): number for row_id, number in numbers}


def _wanted(table: SqlTable, owned: Mapping[str, Select[Any]], visit_id: int) -> Select[Any] | None:
    if table.name == VisitRow.__tablename__:
        return select(table).where(table.c.id == visit_id)
    if table.name in OUTSIDE:
        return None
    for column in table.columns:
        if column.foreign_keys and _target(column) in owned:
            return select(table).where(column.in_(owned[_target(column)]))
    return None


def _stay_inside(found: Rows) -> None:
    """Forgets what points to another visit, where it may; the edition that one replaces is told by its number."""
    by_name = {table.name: table for table in tables()}
    for name, of_table in found.items():
        for column, target in owners(by_name[name]).items():
            if target in found and by_name[name].c[column].nullable and column != "replaces_id":
                inside = set(ids(found[target]))
                for row in of_table:
                    row[column] = row[column] if row[column] in inside else None


def _target(column: Column[Any]) -> str:
    (key,) = column.foreign_keys
    return key.column.table.name


def _pointed_at(found: Rows, target: str) -> list[Any]:
    by_name = {table.name: table for table in tables()}
    values: set[Any] = set()
    for name, of_table in found.items():
        columns = [column for column, to in owners(by_name[name]).items() if to == target]
        values.update(row[column] for row in of_table for column in columns)
    return sorted(values - {None})


def _as_seen(medium: Values) -> Values:
    if medium["hidden_at"] is not None and medium["removed_at"] is None:
        medium |= {"removed_at": medium["hidden_at"], "removed_reason": HIDDEN}
    return medium | {"hidden_at": None, "hidden_reason": None}


def ids(found: Iterable[Values]) -> list[int]:
    """The numbers of rows."""
    return [row["id"] for row in found]
