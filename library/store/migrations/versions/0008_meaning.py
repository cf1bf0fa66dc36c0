"""The vectors of sentences, for search by meaning; they follow from the words and are learned after this step.

Revision ID: 0008
Revises: 0007
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Makes the table; it points to no sentence by a key, as the other tables of search: ``library check`` looks."""
    op.create_table(
        "sentence_vector",
        sa.Column("sentence_id", sa.BigInteger().with_variant(sa.Integer, "sqlite"), primary_key=True),
        sa.Column("vector", sa.LargeBinary, nullable=False),
    )


def downgrade() -> None:
    """Drops it; what was learned is learned again."""
    op.drop_table("sentence_vector")
