"""Work that waits knows for whom, under which key and in which state it was last told; files that arrive in parts.

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_OURS = "procrastinate\\_%"
_ROUTINES = "SELECT oid::regprocedure::text FROM pg_proc WHERE proname LIKE :ours AND pronamespace = :here"
_TABLES = "SELECT oid::regclass::text FROM pg_class WHERE relname LIKE :ours AND relkind = 'r' AND relnamespace = :here"
_TYPES = "SELECT oid::regtype::text FROM pg_type WHERE typname LIKE :ours AND typtype = 'e' AND typnamespace = :here"
_COMPOSED = (
    "SELECT c.oid::regclass::text FROM pg_class c WHERE relname LIKE :ours AND relkind = 'c' AND relnamespace = :here"
)


def upgrade() -> None:
    """Adds columns and a table; on PostgreSQL also the tables of the package that hands out the work there."""
    is_postgres = op.get_bind().dialect.name == "postgresql"
    number = "BIGINT" if is_postgres else "INTEGER"
    # In plain words: SQLite adds such columns without a copy of the table.
    op.execute(f"ALTER TABLE task ADD COLUMN person_id {number} CONSTRAINT fk_task_person_id REFERENCES person (id)")
    op.execute("ALTER TABLE task ADD COLUMN version INTEGER DEFAULT 1 NOT NULL")
    op.add_column("task", sa.Column("key", sa.Text, nullable=True))
    op.create_index("uq_task_key", "task", ["key"], unique=True)
    key = sa.BigInteger().with_variant(sa.Integer, "sqlite")
    time = sa.DateTime(timezone=True) if is_postgres else sa.DateTime
    op.create_table(
        "upload",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("person_id", key, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("size_bytes", key, nullable=False),
        sa.Column("received_bytes", key, nullable=False),
        sa.Column("sha256", sa.Text, nullable=True),
        sa.Column("created_at", time, nullable=False),
        sa.Column("expires_at", time, nullable=False),
    )
    op.create_index("ix_upload_person_id", "upload", ["person_id"])
    if is_postgres:
        from procrastinate.schema import SchemaManager  # needed on this database alone

        driver = op.get_bind().connection.driver_connection
        assert driver is not None
        driver.execute(SchemaManager.get_schema())  # many statements in one text, which SQLAlchemy does not send


def downgrade() -> None:
    """Drops them: work that waits is forgotten as far as that package goes, and files that arrived in part."""
    op.drop_table("upload")
    op.drop_index("uq_task_key", "task")
    op.execute("ALTER TABLE task DROP COLUMN key")
    op.execute("ALTER TABLE task DROP COLUMN version")
    op.execute("ALTER TABLE task DROP COLUMN person_id")
    bind = op.get_bind()
    if bind.dialect.name != "postgresql":
        return
    here = bind.execute(sa.text("SELECT current_schema()::regnamespace::oid")).scalar_one()
    for kind, listed in (("TABLE", _TABLES), ("ROUTINE", _ROUTINES), ("TYPE", _COMPOSED), ("TYPE", _TYPES)):
        for name in bind.execute(sa.text(listed), {"ours": _OURS, "here": here}).scalars().all():
            op.execute(f"DROP {kind} {name} CASCADE")
