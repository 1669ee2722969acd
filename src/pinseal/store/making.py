"""Making a new shop: the file under another name first, so that a shop is there whole or not at all."""

from __future__ import annotations

import secrets
from datetime import datetime
from pathlib import Path

import sqlalchemy as sa

from pinseal.reasons import Refusal
from pinseal.records.record import instant_text
from pinseal.store import files, migrate, schema, sqlite
from pinseal.store.settings import Settings

WAIT_S = 5.0  # how long a writer waits for another one


def check_free(path: Path) -> None:
    """Raises `Refusal` where something is in the way of a new shop."""
    folder = files.folder_of(path)
    if path.exists() or (folder.exists() and not _is_empty_folder(folder)):
        raise _taken(path)
    if not path.parent.is_dir():
        raise Refusal(
            what="the folder for the shop is missing",
            rule="a shop is made in a folder that is there",
            got=str(path.parent),
            do="make the folder first",
        )


def _is_empty_folder(path: Path) -> bool:
    """An empty folder of files is what a program leaves that was killed while it made a shop."""
    return path.is_dir() and next(path.iterdir(), None) is None


def _taken(path: Path) -> Refusal:
    return Refusal(
        what="there is something at this path already",
        rule="a new shop never takes the place of a file or of its folder of files",
        got=str(path),
        do="choose another path",
    )


def make(path: Path, settings: Settings, person: str, now: datetime) -> None:
    """Make the file under another name, and give it its own when it is whole and on the disk."""
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    folder = files.folder_of(path)
    try:
        _fill(unfinished, settings, person, now)
        folder.mkdir(exist_ok=True)
        sqlite.give_name(unfinished, path)
    except FileExistsError as there:
        raise _taken(path) from there
    finally:
        for name in (unfinished.name, f"{unfinished.name}-wal", f"{unfinished.name}-shm", f"{unfinished.name}-journal"):
            unfinished.with_name(name).unlink(missing_ok=True)
        if not path.exists() and folder.exists() and _is_empty_folder(folder):
            folder.rmdir()


def _fill(path: Path, settings: Settings, person: str, now: datetime) -> None:
    engine = sqlite.open_engine(path, readonly=False, wait_s=WAIT_S, create=True)
    try:
        sqlite.mark_as_shop(engine)
        with sqlite.writing(engine) as connection:
            migrate.bring_up_to_date(connection)
            keep_settings(connection, settings, person, now)
    finally:
        engine.dispose()


def keep_settings(connection: sa.Connection, settings: Settings, person: str, received: datetime) -> None:
    """Add a choice of settings, in the caller's transaction."""
    row = {
        "number": next_number(connection, schema.settings),
        "said": settings.as_json(),
        "person": person,
        "received": instant_text(received),
    }
    connection.execute(sa.insert(schema.settings), row)


def next_number(connection: sa.Connection, table: sa.Table) -> int:
    """The number that the next row of a table takes."""
    return int(connection.execute(sa.select(sa.func.max(table.c.number))).scalar() or 0) + 1
