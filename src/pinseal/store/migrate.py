"""Migrations. Alembic is loaded only when a shop is made or has an older form."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa

from pinseal.store import schema, sqlite

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


def make_current(engine: sa.Engine, path: Path, *, readonly: bool) -> None:
    """Bring a shop of an older form up to date; `path` is the file as messages name it.

    Raises `ShopUnusable` for a newer form, for one that is none, and for an older one that may only be read.
    """
    with sqlite.reading(engine) as connection:
        form = form_of(connection)
    newest = schema.FORMS[-1]
    if form == newest:
        return
    if form.isdecimal() and len(form) == len(newest) and form > newest:
        raise sqlite.newer(path, form, newest)
    if form not in schema.FORMS:
        raise sqlite.damaged(path, f"its form is {form or 'not said'}")
    if readonly:
        raise sqlite.older(path, form, newest)
    with sqlite.writing(engine) as connection:
        bring_up_to_date(connection)
