"""What keeping adds: a medium can be hidden from all but those who keep the library.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds when and why a medium was hidden; nothing is hidden at first."""
    op.add_column("medium", sa.Column("hidden_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("medium", sa.Column("hidden_reason", sa.Text, nullable=True))


def downgrade() -> None:
    """Drops both, unless something is hidden: going back would show it."""
    if op.get_bind().execute(sa.text("SELECT 1 FROM medium WHERE hidden_at IS NOT NULL LIMIT 1")).first() is not None:
        raise RuntimeError("media are hidden; without this version everybody would see them")
    op.drop_column("medium", "hidden_reason")
    op.drop_column("medium", "hidden_at")
