"""Run by Alembic: brings the open connection's shop to the newest form. The caller holds the transaction."""

from alembic import context

from pinseal.store.schema import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata, render_as_batch=True, compare_type=True)
with context.begin_transaction():
    context.run_migrations()
