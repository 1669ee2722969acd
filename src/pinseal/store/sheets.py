"""Job sheets as they lie in the shop: begun once, then only added to, and closed together with the records that they made."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from pinseal.dates import parse_day
from pinseal.reasons import Refusal
from pinseal.records.record import FIRST, canonical, check_text, check_uid, instant_text, read_instant
from pinseal.store import projection, schema, sqlite
from pinseal.store.rows import chunks, read_date

CLOSED = "closed"  # the key that the last entry of a closed sheet has


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptEntry:
    """One entry of a job sheet: its number from 1 on, what it says, who wrote it, and when the shop took it in."""

    number: int
    entry: Mapping[str, Any]
    person: str
    received: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSheet:
    """One job sheet. `works` names the duties or works that it is for; `content` is what it was begun with."""

    uid: str
    unit: str
    on_day: date
    works: tuple[str, ...]
    content: Mapping[str, Any]
    person: str
    writer: str
    received: datetime
    entries: tuple[KeptEntry, ...] = field(default=())

    @property
    def closed(self) -> bool:
        """Whether the last entry closed it."""
        return bool(self.entries) and CLOSED in self.entries[-1].entry

    @property
    def next_number(self) -> int:
        """The number that the next entry takes: what a writer says as `expect`."""
        return len(self.entries) + 1


def begin(connection: sa.Connection, sheet: KeptSheet) -> None:
    """Keep a new sheet. The same one again changes nothing. Raises `Refusal`."""
    _check(sheet)
    row = _row(sheet)
    known = connection.execute(sa.select(schema.sheets).where(schema.sheets.c.uid == sheet.uid)).mappings().one_or_none()
    if known is not None:
        if {**known, "received": row["received"]} != row:
            raise _refused("another job sheet is kept under this uid", "a uid stands for one sheet", sheet.uid, "take a new uid")
        return
    if not projection.units_among(connection, [sheet.unit]):
        raise _refused("there is no such unit in this shop", "a job sheet is about a unit of the shop", sheet.unit, "register it first")
    connection.execute(sa.insert(schema.sheets), row)


def _check(sheet: KeptSheet) -> None:
    check_uid(sheet.uid)
    for name, text in (("person", sheet.person), ("writer", sheet.writer)):
        check_text(name, text)
    _check_plain(sheet.content)
    if sheet.entries:
        raise _refused("a new job sheet has no entries", "entries are added one by one", sheet.uid, "begin it, then add them")


def _check_plain(value: Mapping[str, Any]) -> None:
    """What is kept is plain JSON. Raises `Refusal`."""
    try:
        canonical(dict(value))
    except (TypeError, ValueError) as wrong:
        raise _refused(
            "this cannot be kept", "a job sheet holds plain JSON", str(wrong), "keep texts, numbers, lists and tables"
        ) from wrong


@contextmanager
def _readable(path: Path) -> Iterator[None]:
    """A sheet that cannot be read makes the shop a damaged one. Raises `ShopUnusable`."""
    try:
        yield
    except (Refusal, ValueError, TypeError) as wrong:
        raise sqlite.damaged(path, f"a job sheet cannot be read ({wrong})") from wrong


def _row(sheet: KeptSheet) -> dict[str, Any]:
    return {
        "uid": sheet.uid,
        "unit": sheet.unit,
        "on_day": sheet.on_day.isoformat(),
        "works": list(sheet.works),
        "content": json.loads(canonical(dict(sheet.content))),
        "person": sheet.person,
        "writer": sheet.writer,
        "received": instant_text(sheet.received),
    }


def add(
    connection: sa.Connection,
    path: Path,
    uid: str,
    entry: Mapping[str, Any],
    *,
    person: str,
    received: datetime,
    expect: int,
    closes: bool = False,
) -> int:
    """Add an entry under the number `expect`, and give that number back.

    Raises `Refusal` for a sheet that is not there or is closed, for another number than the next one (somebody else added
    an entry), and for an entry that says `closed` and does not close, or the other way round.
    """
    check_text("person", person)
    _check_plain(entry)
    kept = find(connection, path, uid)
    if kept is None:
        raise _refused("there is no such job sheet", "an entry is added to a sheet that was begun", uid, "begin the sheet first")
    if kept.closed:
        raise _refused("this job sheet is closed", "a closed sheet takes no more entries", uid, "begin another sheet")
    if expect != kept.next_number:
        raise _refused(
            "somebody else added to this job sheet",
            f"the next entry is number {kept.next_number}",
            f"number {expect}",
            "read the sheet again, then add what is still missing",
        )
    if (CLOSED in entry) is not closes:
        rule = f"the entry that closes a sheet, and no other, has the key {CLOSED}"
        raise _refused("this entry does not fit", rule, ", ".join(map(str, entry)), "close a sheet with the records that it made")
    row = {"sheet": uid, "number": expect, "entry": dict(entry), "closes": closes, "person": person, "received": instant_text(received)}
    connection.execute(sa.insert(schema.sheet_entries), row)
    return expect


def find(connection: sa.Connection, path: Path, uid: str) -> KeptSheet | None:
    """One sheet with its entries, or None. Raises `ShopUnusable` for one that cannot be read."""
    with _readable(path):
        return next(iter(_read(connection, sa.select(schema.sheets).where(schema.sheets.c.uid == uid))), None)


def named(connection: sa.Connection, path: Path, uids: Sequence[str]) -> list[KeptSheet]:
    """Some sheets with their entries, in the order of their beginning; one that is not there is left out. Raises `ShopUnusable`."""
    return _among(connection, path, schema.sheets.c.uid, uids)


def open_of(connection: sa.Connection, path: Path, units: Sequence[str]) -> list[KeptSheet]:
    """The open sheets of some units, in the order of their beginning. Raises `ShopUnusable`."""
    return [kept for kept in _among(connection, path, schema.sheets.c.unit, units) if not kept.closed]


def _among(connection: sa.Connection, path: Path, column: sa.Column[Any], values: Sequence[str]) -> list[KeptSheet]:
    with _readable(path):
        found = [kept for some in chunks(values) for kept in _read(connection, sa.select(schema.sheets).where(column.in_(some)))]
    return sorted(found, key=lambda kept: (kept.received, kept.uid))


def kept_sheets(connection: sa.Connection, path: Path, unit: str | None, *, only_open: bool) -> list[KeptSheet]:
    """The sheets of one unit, or all, with their entries, in the order of their beginning. Raises `ShopUnusable`."""
    table, entries = schema.sheets, schema.sheet_entries
    asked = sa.select(table)
    if unit is not None:
        asked = asked.where(table.c.unit == unit)
    if only_open:
        asked = asked.where(~sa.exists().where(entries.c.sheet == table.c.uid, entries.c.closes))
    with _readable(path):
        return _read(connection, asked)


def _read(connection: sa.Connection, asked: sa.Select[Any]) -> list[KeptSheet]:
    rows = connection.execute(asked.order_by(schema.sheets.c.received, schema.sheets.c.uid)).mappings().all()
    entries = _entries(connection, [row["uid"] for row in rows])
    return [
        KeptSheet(
            uid=row["uid"],
            unit=row["unit"],
            on_day=parse_day(str(read_date(row["on_day"]))),
            works=tuple(row["works"]),
            content=row["content"],
            person=row["person"],
            writer=row["writer"],
            received=read_instant(row["received"]),
            entries=tuple(entries[row["uid"]]),
        )
        for row in rows
    ]


def _entries(connection: sa.Connection, uids: Sequence[str]) -> Mapping[str, list[KeptEntry]]:
    table, found = schema.sheet_entries, defaultdict[str, list[KeptEntry]](list)
    for some in chunks(uids):
        for row in connection.execute(sa.select(table).where(table.c.sheet.in_(some)).order_by(table.c.sheet, table.c.number)):
            entry = KeptEntry(number=row.number, entry=row.entry, person=row.person, received=read_instant(row.received))
            found[row.sheet].append(entry)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsProof:
    """How many sheets there are, a digest over all that they say, and what is wrong with them."""

    count: int
    head: str
    problems: tuple[str, ...]


def prove(connection: sa.Connection, path: Path) -> SheetsProof:
    """Read every sheet: its entries are numbered from 1 without a gap, and nothing stands after the one that closes it.

    Raises `ShopUnusable` for one that cannot be read.
    """
    found, head = kept_sheets(connection, path, None, only_open=False), FIRST
    with _readable(path):
        for sheet in found:
            head = sha256(canonical({"previous": head, **_row(sheet), "entries": [_entry_row(each) for each in sheet.entries]})).hexdigest()
        return SheetsProof(count=len(found), head=head, problems=(*_problems(found), *_wrong_ends(connection)))


def _entry_row(entry: KeptEntry) -> dict[str, Any]:
    return {"number": entry.number, "entry": dict(entry.entry), "person": entry.person, "received": instant_text(entry.received)}


def _problems(found: Iterable[KeptSheet]) -> Iterator[str]:
    for sheet in found:
        if [entry.number for entry in sheet.entries] != list(range(1, len(sheet.entries) + 1)):
            yield f"an entry of job sheet {sheet.uid} is missing"
        if any(CLOSED in entry.entry for entry in sheet.entries[:-1]):
            yield f"job sheet {sheet.uid} has an entry after the one that closed it"


def _wrong_ends(connection: sa.Connection) -> Iterator[str]:
    table = schema.sheet_entries
    for row in connection.execute(sa.select(table.c.sheet, table.c.number, table.c.entry, table.c.closes)):
        if (CLOSED in row.entry) is not row.closes:
            yield f"entry {row.number} of job sheet {row.sheet} does not say rightly whether it closes the sheet"


def _refused(what: str, rule: str, got: str, do: str) -> Refusal:
    return Refusal(what=what, rule=rule, got=got, do=do)
