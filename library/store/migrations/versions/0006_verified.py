"""An edition that was looked at again and found still right: a record beside it, for what is published never changes.

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Makes the table; nothing was verified again at first."""
    key = sa.BigInteger().with_variant(sa.Integer, "sqlite")
    time = sa.DateTime(timezone=True)
    op.create_table(
        "verification",
        sa.Column("id", key, primary_key=True),
        sa.Column("edition_id", key, sa.ForeignKey("edition.id"), nullable=False),
        sa.Column("person_id", key, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("at", time, nullable=False),
        sa.Column("how", sa.Text, nullable=False),
        sa.Column("reverify_on", sa.Date, nullable=False),
        sa.Column("is_one_person", sa.Boolean, nullable=False),
        sa.Column("undone_at", time, nullable=True),
        sa.Column("undone_by", key, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("undone_reason", sa.Text, nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_verification_edition_id", "verification", ["edition_id"])


def downgrade() -> None:
    """Drops the table, unless something is in it: the journal tells of it, and without it nothing would bear that."""
    if op.get_bind().execute(sa.text("SELECT 1 FROM verification LIMIT 1")).first() is not None:
        raise RuntimeError("editions were verified again; without this version nobody would know how and by whom")
    op.drop_table("verification")
