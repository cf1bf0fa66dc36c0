"""What search keeps beside the sentences: where each stands in the index, how often each term occurs, sizes.

Revision ID: 0002
Revises: 0001
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import TSVECTOR

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Makes the tables of the index; sentences that are there already are indexed by the next rebuild."""
    is_postgres = op.get_bind().dialect.name == "postgresql"
    op.create_table(
        "sentence_place",
        sa.Column("place", sa.BigInteger, primary_key=True, autoincrement=False),
        sa.Column("sentence_id", sa.BigInteger, nullable=False, unique=True),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("tags", sa.Text, nullable=False),
        *([sa.Column("terms", TSVECTOR, nullable=False)] if is_postgres else []),
    )
    op.create_table(
        "search_term",
        sa.Column("term", sa.Text, primary_key=True),
        sa.Column("sentences", sa.BigInteger, nullable=False),
        sa.Column("sound", sa.Text, nullable=True),
    )
    op.create_index("ix_search_term_sound", "search_term", ["sound"])
    op.create_table(
        "search_size",
        sa.Column("normal", sa.Text, primary_key=True),
        sa.Column("dimension", sa.Text, nullable=False),
        sa.Column("value", sa.Float, nullable=True),
        sa.Column("millimetres", sa.Float, nullable=True),
    )
    op.create_index("ix_search_size_millimetres", "search_size", ["millimetres"])
    op.create_index("ix_search_size_value", "search_size", ["value"])
    if is_postgres:
        op.create_index(
            "ix_sentence_place_terms",
            "sentence_place",
            ["terms"],
            postgresql_using="gin",
            postgresql_with={"fastupdate": "off"},
        )
    else:  # contentless: the words stand in sentence_place; no sizes of columns, as ranking does not use them
        op.execute(
            "CREATE VIRTUAL TABLE sentence_search USING fts5(words, tags, content='', columnsize=0, "
            "tokenize=\"ascii tokenchars '_'\")"
        )


def downgrade() -> None:
    """Drops the index; the sentences stay."""
    if op.get_bind().dialect.name != "postgresql":
        op.execute("DROP TABLE sentence_search")
    for table in ("search_size", "search_term", "sentence_place"):
        op.drop_table(table)
