"""What the sync door asks of a shop's file: records by their uids, many units with few questions, entries of a sheet at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from pinseal.records.fold import Unit, fold_all
from pinseal.records.record import Record
from pinseal.records.unit import UnitState
from pinseal.store import projection, schema, sheets
from pinseal.store.rows import chunks, read_records, select_records
from pinseal.store.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEntry:
    """An entry to add to a job sheet: what it says, and who says so."""

    entry: Mapping[str, Any]
    person: str


def records_named(shop: Shop, uids: Sequence[str]) -> dict[str, Record]:
    """Those of these records that the shop holds, by uid. The number of questions grows by one for each 500."""
    with shop._reading() as connection:
        return _records_where(connection, schema.records.c.uid, uids)


def _records_where(connection: sa.Connection, column: sa.Column[Any], values: Sequence[str]) -> dict[str, Record]:
    found: dict[str, Record] = {}
    for some in chunks(list(dict.fromkeys(values))):
        rows = connection.execute(select_records().where(column.in_(some))).mappings()
        found |= {record.uid: record for record in read_records(rows)}
    return found


def units_named(shop: Shop, uids: Sequence[str]) -> dict[str, Unit]:
    """These units with their facts, identities and marks, folded from their records; one that is not there is left out."""
    with shop._reading() as connection:
        return fold_all(_records_where(connection, schema.records.c.unit, uids).values())


def states_named(shop: Shop, uids: Sequence[str]) -> dict[str, UnitState]:
    """The present state of these units; one that is not there is left out."""
    with shop._reading() as connection:
        return {state.uid or "": state for some in chunks(list(dict.fromkeys(uids))) for state in projection.read_units(connection, some)}


def units_at(shop: Shop, sites: Sequence[str]) -> list[str]:
    """The uids of the units that belong to some sites and have not left, in the order of registering. "" means: no site is said."""
    table = schema.units
    site = sa.func.coalesce(table.c.said["site"].as_string(), "")
    asked = sa.select(table.c.uid).where(site.in_(list(sites)), table.c.removed.is_(None)).order_by(table.c.uid)
    with shop._reading() as connection:
        return list(connection.execute(asked).scalars())


def sites_of(shop: Shop) -> list[str]:
    """The sites of the units that have not left, by name; "" where a unit has none."""
    site = sa.func.coalesce(schema.units.c.said["site"].as_string(), "")
    asked = sa.select(site).where(schema.units.c.removed.is_(None)).distinct().order_by(site)
    with shop._reading() as connection:
        return list(connection.execute(asked).scalars())


def add_entries(shop: Shop, sheet_uid: str, entries: Sequence[NewEntry], *, received: datetime, expect: int) -> int:
    """Add entries to an open job sheet from the number `expect` on, all or none; the number that the next one takes.

    Raises `Refusal` where `expect` is not the next number (somebody else added one), and for a closed sheet.
    """
    with shop._writing() as connection:
        for number, new in enumerate(entries, start=expect):
            sheets.add(connection, shop.path, sheet_uid, new.entry, person=new.person, received=received, expect=number)
    return expect + len(entries)


def histories(shop: Shop, uids: Sequence[str]) -> list[Record]:
    """The records of these units, corrections too, in the order in which they were received."""
    with shop._reading() as connection:
        return list(_records_where(connection, schema.records.c.unit, uids).values())
