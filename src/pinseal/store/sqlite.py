"""Everything that is SQLite's own: opening, transactions, guards against change, copies, and what its errors mean."""

from __future__ import annotations

import errno
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

import sqlalchemy as sa

from pinseal.reasons import ShopUnusable

APPLICATION_ID = 0x50534C31  # marks the file as a shop, in the field that SQLite keeps for it
_MAGIC = b"SQLite format 3\x00"
_HEADER = 100  # bytes; the application id stands at 68
_WRITES = "shop_writes"
# Rows in the order in which they were added. In a table that is only added to it never changes.
ROW_NUMBER: sa.ColumnClause[int] = sa.literal_column("rowid", sa.Integer)


def looks_like_a_shop(path: Path) -> bool:
    """Whether the file's first bytes are those of a shop. Raises `OSError`."""
    with path.open("rb") as file:
        header = file.read(_HEADER)
    return header.startswith(_MAGIC) and int.from_bytes(header[68:72], "big") == APPLICATION_ID


def open_engine(path: Path, *, readonly: bool, wait_s: float, create: bool = False) -> sa.Engine:
    """An engine on one file. Transactions are explicit; writers queue for `wait_s` seconds and are then refused."""
    address = _address(path, "rwc" if create else "rw" if not readonly else _reading_mode(path))

    def connect() -> sqlite3.Connection:
        opened = sqlite3.connect(address, uri=True, timeout=wait_s, isolation_level=None, check_same_thread=False)
        for pragma in (
            "foreign_keys = ON",
            "synchronous = FULL",
            "secure_delete = ON",
            "query_only = ON" if readonly else "query_only = OFF",
        ):
            opened.execute(f"PRAGMA {pragma}")
        return opened

    engine = sa.create_engine("sqlite://", creator=connect, poolclass=sa.QueuePool, json_serializer=_json, json_deserializer=json.loads)
    sa.event.listen(engine, "begin", _begin)
    return engine


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _begin(connection: sa.Connection) -> None:
    """Python's driver would begin late and by itself; a writer takes its lock first, so that it never has to give up halfway."""
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _address(path: Path, mode: str) -> str:
    return f"file:{quote(os.fsencode(path.absolute()))}?mode={mode}"


def can_be_written(path: Path) -> bool:
    """Whether a file and its folder may be written to. (A root user may do so everywhere but on media that cannot change.)"""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _reading_mode(path: Path) -> str:
    """A reader that may write leaves no log behind; on media that cannot change a shop without a log is read as it lies."""
    if can_be_written(path):
        return "rw"
    log = path.with_name(path.name + "-wal")
    logged = log.exists() and log.stat().st_size > 0
    return "ro" if logged or os.access(path.parent, os.W_OK) else "ro&immutable=1"


@contextmanager
def writing(engine: sa.Engine) -> Iterator[sa.Connection]:
    """One transaction that writes: all of it is kept, or nothing."""
    with engine.connect().execution_options(**{_WRITES: True}) as connection, connection.begin():
        yield connection


@contextmanager
def reading(engine: sa.Engine) -> Iterator[sa.Connection]:
    """One transaction that reads: it sees the shop as it was when it began."""
    with engine.connect() as connection, connection.begin():
        yield connection


def mark_as_shop(engine: sa.Engine) -> None:
    """Give a new file its mark and its write-ahead log."""
    with engine.connect() as connection:
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.commit()
        driver = connection.connection.driver_connection
        assert driver is not None
        driver.execute("PRAGMA journal_mode = WAL")


def guards_on(table: str) -> list[str]:
    """Statements that make a table one that is only added to."""
    return [
        f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{table} is only added to; write a correction'); END"
        for deed in ("UPDATE", "DELETE")
    ]


def guards_but_blanking(table: str, blanked: tuple[str, ...], kept: tuple[str, ...]) -> list[str]:
    """The same, but the columns `blanked` may be emptied, all at once, while every other column stays as it is."""
    allowed = " AND ".join([*(f"NEW.{name} = ''" for name in blanked), *(f"NEW.{name} IS OLD.{name}" for name in kept)])
    update, delete = guards_on(table)
    return [update.replace(f" ON {table} BEGIN", f" ON {table} WHEN NOT ({allowed}) BEGIN"), delete]


def wipe(engine: sa.Engine) -> None:
    """Take what was blanked out of the write-ahead log too. What nobody else is reading just now is gone from the disk's file."""
    with engine.connect() as connection:
        driver = connection.connection.driver_connection
        assert driver is not None
        driver.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def missing_guards(connection: sa.Connection, tables: tuple[str, ...]) -> list[str]:
    """The guards against change that the file should have and has not."""
    found = set(connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'").scalars())
    wanted = [f"{table}_no_{deed}" for table in tables for deed in ("update", "delete")]
    return [name for name in wanted if name not in found]


def damage(connection: sa.Connection) -> list[str]:
    """What SQLite itself finds wrong with the file; empty when it is sound."""
    said = [str(line) for line in connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars()]
    loose = [
        f"row {row[1]} of {row[0]} names a row of {row[2]} that is not there"
        for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
    ]
    return [line for line in said if line != "ok"] + loose


def wrong_values(connection: sa.Connection, tables: Iterable[sa.Table]) -> list[str]:
    """Which columns hold a value of another type than theirs. SQLite takes any, and does not call it damage."""
    found = []
    for table in tables:
        counted = (sa.func.total(_is_wrong(column)) for column in table.columns)
        counts = connection.execute(sa.select(*counted)).one()
        found += [_told_wrong(column) for column, count in zip(table.columns, counts, strict=True) if count]
    return found


def _holds_numbers(column: sa.Column[Any]) -> bool:
    return isinstance(column.type, (sa.Integer, sa.Boolean))


def _told_wrong(column: sa.Column[Any]) -> str:
    kind = "number" if _holds_numbers(column) else "text"
    return f"a {kind} in it is no {kind}, in {column.table.name}.{column.name}"


def _is_wrong(column: sa.Column[Any]) -> sa.ColumnElement[bool]:
    stored_as = "integer" if _holds_numbers(column) else "text"
    wrong: sa.ColumnElement[bool] = sa.func.typeof(column).not_in((stored_as, "null") if column.nullable else (stored_as,))
    if isinstance(column.type, sa.Boolean):
        return sa.or_(wrong, sa.type_coerce(column, sa.Integer).not_in((0, 1)))
    return wrong


def copy(source: Path, dest: Path) -> None:
    """Copy a shop's file while others may be writing to it; the copy is one moment of the source, on the disk."""
    with (
        closing(sqlite3.connect(_address(source, _reading_mode(source)), uri=True)) as opened,
        closing(sqlite3.connect(os.fsencode(dest))) as written,
    ):
        opened.backup(written, pages=-1)
        written.execute("PRAGMA journal_mode = DELETE")
        written.execute("PRAGMA journal_mode = WAL")
    flush(dest)


def flush(path: Path) -> None:
    """Wait until a file, or the entries of a folder, are on the disk."""
    opened = os.open(path, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def give_name(unfinished: Path, path: Path) -> None:
    """Give a finished file its name; it is on the disk when this returns. Raises `FileExistsError` when the name is taken."""
    try:
        os.link(unfinished, path)
    except FileExistsError:
        raise
    except OSError:  # this disk knows no second names: the check before must do
        unfinished.rename(path)
    flush(path.parent)


_NO_ROOM = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT)
_NOT_ALLOWED = (errno.EROFS, errno.EACCES, errno.EPERM)


@contextmanager
def told(path: Path, *, writes: Path | None = None) -> Iterator[None]:
    """Turn what SQLite or the system says about a shop's file into `ShopUnusable`, in words.

    `writes` is the file that is written to, where that is another one.
    """
    try:
        yield
    except sa.exc.DBAPIError as error:
        raise _in_words(path, writes or path, error.orig, error) from error
    except sqlite3.Error as error:
        raise _in_words(path, writes or path, error, error) from error
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        raise damaged(path, f"a value in it cannot be read ({error})") from error
    except OSError as error:
        raise _system_in_words(writes or path, error) from error


_MEANINGS: tuple[tuple[tuple[str, ...], str], ...] = (
    (("SQLITE_BUSY", "SQLITE_LOCKED"), "locked"),
    (("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH"), "read-only"),
    (("SQLITE_FULL", "SQLITE_IOERR_WRITE", "SQLITE_IOERR_TRUNCATE", "SQLITE_IOERR_FSYNC", "SQLITE_IOERR_SHMSIZE"), "no room"),
    (("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_IOERR", "SQLITE_SCHEMA"), "damaged"),
    (("SQLITE_CANTOPEN",), "cannot open"),
)
_SHAPE_IS_WRONG = ("no such table", "no such column", "malformed")
_NO_TEXT = "Could not decode to UTF-8"  # Python's driver says so itself, without a code


def _in_words(path: Path, written: Path, cause: BaseException | None, error: Exception) -> Exception:
    code = getattr(cause, "sqlite_errorname", "") or ""
    meaning = next((said for names, said in _MEANINGS if code.startswith(names)), None)
    if code == "SQLITE_ERROR" and any(words in str(cause) for words in _SHAPE_IS_WRONG):
        meaning = "damaged"
    if str(cause).startswith(_NO_TEXT):
        return damaged(path, "a text in it is no text")
    if meaning in (None, "damaged"):
        return damaged(path, str(cause)) if meaning else error
    return {"locked": locked, "read-only": read_only, "no room": no_room, "cannot open": cannot_open}[str(meaning)](written)


def _system_in_words(path: Path, error: OSError) -> Exception:
    if error.errno in _NO_ROOM:
        return no_room(path)
    return read_only(path) if error.errno in _NOT_ALLOWED else error


def locked(path: Path) -> ShopUnusable:
    return ShopUnusable(
        what="the shop is locked: another program is writing to it",
        rule="one program writes at a time",
        got=str(path),
        do="wait until the other program is done, or close it, and try again; nothing was changed",
    )


def read_only(path: Path) -> ShopUnusable:
    return ShopUnusable(
        what="the shop cannot be written to: it is read-only",
        rule="the file and its folder must be writable",
        got=str(path),
        do="allow writing, or copy the shop (its file and its folder of files) to a disk that can be written to; nothing was changed",
    )


def no_room(path: Path) -> ShopUnusable:
    return ShopUnusable(
        what="the shop could not be written: the disk is full, or the file may not grow",
        rule="what is recorded must be on the disk before it counts",
        got=str(path),
        do="make room and do it again; nothing was changed",
    )


def damaged(path: Path, why: str) -> ShopUnusable:
    return ShopUnusable(
        what="the shop is damaged",
        rule="its file must be one that SQLite can read",
        got=f"{path}: {why}",
        do="keep the file as it is and restore the last backup (pinseal restore)",
    )


def cannot_open(path: Path) -> ShopUnusable:
    return ShopUnusable(
        what="the shop cannot be opened",
        rule="the file and its folder must be readable, and a log (NAME-wal) beside it needs a folder that can be written to",
        got=str(path),
        do="check the rights, or copy the file and everything beside it to a folder that can be written to",
    )


def not_a_shop(path: Path) -> ShopUnusable:
    return ShopUnusable(
        what="this file is not a shop, or its beginning is damaged",
        rule="a shop is a file that `pinseal init` made",
        got=str(path),
        do="check the path; if it was a shop, restore the last backup (pinseal restore)",
    )


def newer(path: Path, version: str, known: str) -> ShopUnusable:
    return ShopUnusable(
        what="the shop was written by a newer version of this program",
        rule=f"this version knows shops up to form {known}",
        got=f"{path}: form {version}",
        do="use the newer version; nothing was changed",
    )


def older(path: Path, version: str, known: str) -> ShopUnusable:
    return ShopUnusable(
        what="the shop has an older form and must be brought up to date",
        rule=f"this version works with form {known}",
        got=f"{path}: form {version}",
        do="copy its file and its folder of files by hand, then open it once for writing (any command that records something)",
    )
