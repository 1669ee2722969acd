"""Run by Alembic: brings the open connection's shop to the newest form. The caller holds the transaction."""

from alembic import context

from pinseal.store.schema import metadata


def run() -> None:
    """Configure Alembic for the caller's connection and run the steps that are missing."""
    connection = context.config.attributes["connection"]
    context.configure(connection=connection, target_metadata=metadata, render_as_batch=True, compare_type=True)
    with context.begin_transaction():
        context.run_migrations()


if __name__ == "env_py":  # the name under which Alembic loads this file; any other import only looks at it
    run()
