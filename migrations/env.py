"""Alembic's entry point: runs the migrations on the connection that `tracelink.store.database.schema` hands over."""

from alembic import context

from tracelink.store.database import tables  # noqa: F401  all tables must be known
from tracelink.store.database.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transaction_per_migration=False,
)
context.run_migrations()
