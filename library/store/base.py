"""What all tables share."""

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import Double, ForeignKey, MetaData, Text
from sqlalchemy.orm import DeclarativeBase, mapped_column

from vouchbook.library.store.columns import Json, Key, UtcTime


class Table(DeclarativeBase):
    """The base of all tables. A row is made by keywords; its number and what has a default are there after a flush."""

    is_journalled: ClassVar[bool] = True
    """Whether a change of it must be told in the journal, in the same transaction."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar[dict[Any, Any]] = {
        datetime: UtcTime,
        str: Text,
        float: Double,
        dict[str, Any]: Json,
        list[str]: Json,
        Any: Json,
    }


def numbered() -> Any:  # noqa: ANN401  SQLAlchemy's own way of typing it
    """A row's number, given by the database."""
    return mapped_column(Key, primary_key=True)


def of(row: Any, *, index: bool = False) -> Any:  # noqa: ANN401
    """The number of a row of another table: its column, or the name of that."""
    return mapped_column(Key, ForeignKey(row), index=index)


COUNTED = {"sqlite_autoincrement": True}
"""The number of a row that is gone is never given again: the journal names rows by it."""
