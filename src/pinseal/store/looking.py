"""Looking over a whole shop with few questions: records of some kinds, the latest ones, the sheets without their entries.

Each answer is one statement, however many units there are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa

from pinseal.dates import parse_day
from pinseal.reasons import Refusal
from pinseal.records.record import Record, instant_text, read_instant
from pinseal.store import schema, sqlite
from pinseal.store.rows import chunks, read_records, select_records
from pinseal.store.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetHead:
    """A kept job sheet with the number of its entries and the last of them alone (empty where there is none)."""

    uid: str
    unit: str
    on_day: date
    works: tuple[str, ...]
    person: str
    received: datetime
    entries: int
    last: Mapping[str, Any]
    last_received: datetime | None


def records_of_kinds(shop: Shop, kinds: Sequence[str]) -> list[Record]:
    """Every record of some kinds, in the order of arrival. Raises `ShopUnusable` for one that cannot be read."""
    return _records(shop, select_records().where(schema.records.c.kind.in_(kinds)))


def latest_records(shop: Shop, count: int) -> list[Record]:
    """The records that came in last, the newest first. Raises `ShopUnusable` for one that cannot be read."""
    return _records(shop, select_records().order_by(None).order_by(schema.records.c.number.desc()).limit(count))


def _records(shop: Shop, asked: sa.Select[Any]) -> list[Record]:
    try:
        with shop._reading() as connection:
            return read_records(connection.execute(asked).mappings())
    except (Refusal, ValueError, TypeError) as wrong:
        raise sqlite.damaged(shop.path, f"a record cannot be read ({wrong})") from wrong


def sheet_heads(shop: Shop, uids: Sequence[str] | None = None) -> list[SheetHead]:
    """Every job sheet (or some) in the order of its beginning, open and closed. Raises `ShopUnusable` for one that cannot be read."""
    if uids is not None:
        found = (head for some in chunks(uids) for head in _heads(shop, some))
        return sorted(found, key=lambda head: (head.received, head.uid))
    return _heads(shop, None)


def _heads(shop: Shop, uids: Sequence[str] | None) -> list[SheetHead]:
    table, entries = schema.sheets, schema.sheet_entries
    numbers = sa.select(entries.c.sheet, sa.func.max(entries.c.number).label("count")).group_by(entries.c.sheet)
    counted = (numbers if uids is None else numbers.where(entries.c.sheet.in_(uids))).subquery()
    last = sa.and_(entries.c.sheet == table.c.uid, entries.c.number == counted.c.count)
    asked = (
        sa.select(table, counted.c.count, entries.c.entry.label("last"), entries.c.received.label("last_received"))
        .select_from(table.outerjoin(counted, counted.c.sheet == table.c.uid).outerjoin(entries, last))
        .order_by(table.c.received, table.c.uid)
    )
    if uids is not None:
        asked = asked.where(table.c.uid.in_(uids))
    try:
        with shop._reading() as connection:
            return [_head(row) for row in connection.execute(asked).mappings()]
    except (Refusal, ValueError, TypeError) as wrong:
        raise sqlite.damaged(shop.path, f"a job sheet cannot be read ({wrong})") from wrong


def _head(row: sa.RowMapping) -> SheetHead:
    return SheetHead(
        uid=row["uid"],
        unit=row["unit"],
        on_day=parse_day(row["on_day"]),
        works=tuple(row["works"]),
        person=row["person"],
        received=read_instant(row["received"]),
        entries=row["count"] or 0,
        last=row["last"] or {},
        last_received=read_instant(row["last_received"]) if row["last_received"] else None,
    )


def records_of_units(shop: Shop, uids: Sequence[str], kinds: Sequence[str] | None = None) -> dict[str, list[Record]]:
    """The records of some units (of some kinds) by uid, each in the order of arrival. Raises `ShopUnusable` for one that cannot be read."""
    found: dict[str, list[Record]] = {}
    for some in chunks(uids):
        asked = select_records().where(schema.records.c.unit.in_(some))
        for record in _records(shop, asked if kinds is None else asked.where(schema.records.c.kind.in_(kinds))):
            found.setdefault(record.unit, []).append(record)
    return found


def disputed_lives(shop: Shop, since: datetime, *, most: int = 1_000, among: Sequence[str] | None = None) -> dict[str, list[Record]]:
    """The whole lives of the units about which something came in since then and more than one person wrote; of `most` units at most.

    The one that was written about last stands first. `among` asks about these units alone, at most `CHUNK`.
    """
    table, receipts = schema.records, schema.receipts
    lately = (
        sa.select(table.c.unit, sa.func.max(table.c.number).label("last"))
        .join(receipts, receipts.c.number == table.c.number)
        .where(receipts.c.received >= instant_text(since), *([] if among is None else [table.c.unit.in_(among)]))
        .group_by(table.c.unit)
        .subquery()
    )
    by_many = sa.select(table.c.unit).where(table.c.unit.in_(sa.select(lately.c.unit))).group_by(table.c.unit)
    by_many = by_many.having(sa.func.count(table.c.person.distinct()) > 1)
    asked = sa.select(lately.c.unit).where(lately.c.unit.in_(by_many)).order_by(lately.c.last.desc()).limit(most)
    found: dict[str, list[Record]] = {}
    for record in _records(shop, select_records().where(table.c.unit.in_(asked))):
        life = found.pop(record.unit, [])
        life.append(record)
        found[record.unit] = life  # put in anew, so that the unit of the last record stands last
    return dict(reversed(found.items()))


def unit_names(shop: Shop) -> dict[str, tuple[str, ...]]:
    """Every number that each unit has or had, tags too, by its uid; capitals are lost."""
    table, found = schema.unit_names, dict[str, list[str]]()
    with shop._reading() as connection:
        for row in connection.execute(sa.select(table.c.unit, table.c.name)):
            found.setdefault(row.unit, []).append(row.name)
    return {uid: tuple(sorted(names)) for uid, names in found.items()}


def units_ever_at(shop: Shop, site: str) -> list[str]:
    """The uids of the subjects of which any record names a site, in the order of their first record."""
    table = schema.records
    named = sa.or_(table.c.fields["site"].as_string() == site, table.c.fields["to-site"].as_string() == site)
    asked = sa.select(table.c.unit).where(named).group_by(table.c.unit).order_by(sa.func.min(table.c.number))
    with shop._reading() as connection:
        return [str(uid) for uid in connection.scalars(asked)]


def changes_of_settings(shop: Shop) -> tuple[int, datetime]:
    """How often the settings and the withdrawal lists of a shop were written, and when last."""
    tables = (schema.settings, schema.withdrawal_lists)
    count, last = 0, []
    with shop._reading() as connection:
        for table in tables:
            number, received = connection.execute(sa.select(sa.func.count(), sa.func.max(table.c.received)).select_from(table)).one()
            count += number
            last += [read_instant(received)] if received else []
    return count, max(last)


def written_of_units(shop: Shop, uids: Sequence[str]) -> dict[str, tuple[int, datetime]]:
    """How many records came in about some units, and when the last one did, by uid."""
    table, receipts = schema.records, schema.receipts
    joined = table.join(receipts, receipts.c.number == table.c.number)
    found: dict[str, tuple[int, datetime]] = {}
    with shop._reading() as connection:
        for some in chunks(uids):
            asked = sa.select(table.c.unit, sa.func.count(), sa.func.max(receipts.c.received)).select_from(joined)
            for unit, count, received in connection.execute(asked.where(table.c.unit.in_(some)).group_by(table.c.unit)):
                found[unit] = count, read_instant(received)
    return found
