"""What a reviewer adds: items by hand or borrowed from another edition, questions carried over from one.

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_POINTS = (("item", "added_by", "person"), ("question", "carried_from", "edition"))
"""Table, column, and the table whose number it holds."""


def upgrade() -> None:
    """Adds the columns; what is there came from the reading of a talk and has nothing in them."""
    number = "BIGINT" if op.get_bind().dialect.name == "postgresql" else "INTEGER"
    for table, column, other in _POINTS:  # in plain words: SQLite adds such a column without a copy of the table
        name = f"fk_{table}_{column}"
        op.execute(f"ALTER TABLE {table} ADD COLUMN {column} {number} CONSTRAINT {name} REFERENCES {other} (id)")
    op.add_column("item", sa.Column("borrowed", sa.JSON, nullable=True))


def downgrade() -> None:
    """Drops the columns; what was added by hand stays, without the name of who added it."""
    op.execute("ALTER TABLE item DROP COLUMN borrowed")
    for table, column, _ in _POINTS:
        op.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
