"""Registers that were taken in: the file's name and hash, the answers given, and each raw row beside what was read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from pinseal.records.record import instant_text, read_instant
from pinseal.store import schema, sqlite
from pinseal.store.rows import CHUNK


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterRow:
    """One row of a list: what stood there, what was read, and what became of it (`unit`, `not-unit` or `problem`)."""

    sheet: str | None
    row: int | None
    outcome: str
    raw: Mapping[str, Any] | Sequence[Any]
    read: Mapping[str, Any]
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """A list that is taken in. `answers` holds the answer to each question that was asked about it."""

    name: str
    sha256: str
    size: int
    person: str
    answers: Mapping[str, Any] = field(default_factory=dict)
    rows: Sequence[RegisterRow] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenRegister:
    """A list as it lies in the shop, without its rows (`Shop.register_rows`)."""

    number: int
    name: str
    sha256: str
    size: int
    person: str
    received: datetime
    answers: Mapping[str, Any]


def keep_register(connection: sa.Connection, register: Register, received: datetime) -> int:
    """Add a list and its rows, in the caller's transaction. Returns its number."""
    table = schema.registers
    number = (connection.execute(sa.select(sa.func.max(table.c.number))).scalar() or 0) + 1
    about = {"number": number, "name": register.name, "sha256": register.sha256, "size": register.size, "person": register.person}
    connection.execute(sa.insert(table), {**about, "received": instant_text(received), "answers": dict(register.answers)})
    rows = [_row(number, position, row) for position, row in enumerate(register.rows)]
    for start in range(0, len(rows), CHUNK):
        connection.execute(sa.insert(schema.register_rows), rows[start : start + CHUNK])
    return number


def _row(number: int, position: int, row: RegisterRow) -> dict[str, Any]:
    raw = dict(row.raw) if isinstance(row.raw, Mapping) else list(row.raw)
    return {
        "register": number,
        "position": position,
        "sheet": row.sheet,
        "row": row.row,
        "outcome": row.outcome,
        "unit": row.unit,
        "raw": raw,
        "read": dict(row.read),
    }


def taken_registers(connection: sa.Connection, path: Path) -> list[TakenRegister]:
    """The lists that were taken in, in order. Raises `ShopUnusable` for one that cannot be read."""
    table = schema.registers
    rows = connection.execute(sa.select(table).order_by(table.c.number)).mappings()
    try:
        return [TakenRegister(**{**row, "received": read_instant(row["received"])}) for row in rows]
    except (ValueError, TypeError) as wrong:
        raise sqlite.damaged(path, f"a register cannot be read ({wrong})") from wrong


def rows_of(connection: sa.Connection, number: int) -> Iterator[RegisterRow]:
    """The rows of one list, in its order."""
    table = schema.register_rows
    for row in connection.execute(sa.select(table).where(table.c.register == number).order_by(table.c.position)):
        yield RegisterRow(sheet=row.sheet, row=row.row, outcome=row.outcome, raw=row.raw, read=row.read, unit=row.unit)
