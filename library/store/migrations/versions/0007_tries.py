"""Failed tries to sign in are counted in the library, where all servers see them.

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the table of tries."""
    is_postgres = op.get_bind().dialect.name == "postgresql"
    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer, "sqlite"), primary_key=True),
        sa.Column("name_hash", sa.Text, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True) if is_postgres else sa.DateTime, nullable=False),
    )
    op.create_index("ix_sign_in_try_name_hash_at", "sign_in_try", ["name_hash", "at"])
    op.create_index("ix_sign_in_try_at", "sign_in_try", ["at"])


def downgrade() -> None:
    """Drops it: failures are forgotten, as they are after their window."""
    op.drop_table("sign_in_try")
