"""Run by alembic, from ``vouchbook.library.store.migrate`` alone, inside a transaction that is open already."""

from alembic import context

from vouchbook.library.store.base import Table

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Table.metadata,  # for the names of constraints
    transactional_ddl=True,  # both databases can, when the transaction began with BEGIN
)
context.run_migrations()
