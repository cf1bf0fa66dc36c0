"""One file for each step; alembic finds them here."""
