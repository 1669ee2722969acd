"""Migrations. Alembic is loaded only when a shop is made or has an older form."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa

FOLDER = Path(__file__).parent / "migrations"


def form_of(connection: sa.Connection) -> str:
    """The form that a shop has: the number of its last migration, or an empty text when it has none."""
    return connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar() or ""


def bring_up_to_date(connection: sa.Connection) -> None:
    """Run the migrations that are missing, in the caller's transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config(attributes={"connection": connection})
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    command.upgrade(config, "head")
