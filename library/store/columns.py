"""Columns that mean the same in both databases."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

from sqlalchemy import JSON, BigInteger, DateTime, Dialect, Integer
from sqlalchemy.types import TypeDecorator, TypeEngine

Key = BigInteger().with_variant(Integer, "sqlite")
"""Numbers of rows; SQLite numbers rows by itself only where the type is INTEGER."""

Json = JSON(none_as_null=True)
"""JSON as it was written. Not JSONB on PostgreSQL: that changes numbers, and hashes are taken over what is stored."""


class UtcTime(TypeDecorator[datetime]):
    """A moment, in UTC. SQLite keeps no time zone, so that UTC goes in and UTC comes out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[datetime]:
        """With a time zone on PostgreSQL, without on SQLite."""
        return dialect.type_descriptor(DateTime(timezone=dialect.name == "postgresql"))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """UTC, without saying so on SQLite. A time without a zone is a defect: ValueError."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        value = value.astimezone(UTC)
        return value if dialect.name == "postgresql" else value.replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """The same moment, in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def holds_nul(value: object) -> bool:
    """Whether a value of JSON has the character NUL in it: PostgreSQL keeps that and cannot read it again."""
    if isinstance(value, str):
        return "\0" in value
    if isinstance(value, Mapping):
        return any(holds_nul(name) or holds_nul(part) for name, part in value.items())
    return isinstance(value, Sequence) and any(holds_nul(part) for part in value)
