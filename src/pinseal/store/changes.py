"""How far a shop has come, and which units and job sheets were touched since: what lets a reader keep up without reading it all.

Records, receipts, settings and job sheets are only ever added to, so the last number of each table says it. Another process
may write at any time: whoever keeps an answer takes the mark first and reads then, so that an answer is never older than its mark.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa

from pinseal.records.unit import UnitState
from pinseal.store import projection, schema, sqlite
from pinseal.store.rows import chunks
from pinseal.store.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """The last number of each table that pages are made from; `digest` is that of the last record, `chosen` the settings as kept."""

    records: int
    digest: str
    settings: int
    withdrawals: int
    veils: int
    sheets: int
    entries: int
    chosen: Mapping[str, Any] = field(compare=False, repr=False)

    def follows(self, before: Mark) -> bool:
        """Whether nothing but records and job sheets was added since: what was made before can be brought up to this mark."""
        same = (self.settings, self.withdrawals, self.veils) == (before.settings, before.withdrawals, before.veils)
        return same and self.records >= before.records and self.sheets >= before.sheets and self.entries >= before.entries


def read_mark(shop: Shop) -> Mark:
    """How far the shop has come, in one question."""

    def last(table: sa.Table) -> sa.ScalarSelect[int]:
        number = table.c.number if table is not schema.sheets and table is not schema.sheet_entries else sqlite.ROW_NUMBER
        return sa.select(sa.func.coalesce(sa.func.max(number), 0)).select_from(table).scalar_subquery()

    tables = (schema.records, schema.settings, schema.withdrawal_lists, schema.veils, schema.sheets, schema.sheet_entries)
    digest = sa.select(schema.records.c.digest).order_by(schema.records.c.number.desc()).limit(1).scalar_subquery()
    said = sa.select(schema.settings.c.said).order_by(schema.settings.c.number.desc()).limit(1).scalar_subquery()
    with shop._reading() as connection:
        *numbers, last_digest, chosen = connection.execute(sa.select(*(last(table) for table in tables), digest, said)).one()
    if chosen is None:
        raise sqlite.damaged(shop.path, "it has no settings")
    records, settings, withdrawals, veils, begun, entries = numbers
    return Mark(
        records=records,
        digest=last_digest or "",
        settings=settings,
        withdrawals=withdrawals,
        veils=veils,
        sheets=begun,
        entries=entries,
        chosen=chosen,
    )


def still_there(shop: Shop, mark: Mark) -> bool:
    """Whether the shop still holds the record at which the mark stood: it is the same shop, gone on."""
    table = schema.records
    with shop._reading() as connection:
        found = connection.execute(sa.select(table.c.digest).where(table.c.number == mark.records)).scalar()
    return (found or "") == mark.digest


def touched_units(shop: Shop, since: Mark, kinds: Sequence[str] | None = None) -> list[str]:
    """The uids of what has records (of some kinds) that came in after the mark, in order."""
    table = schema.records
    asked = sa.select(table.c.unit).where(table.c.number > since.records)
    with shop._reading() as connection:  # sorted here: asked for in order, SQLite would walk the index of all units
        return sorted(set(connection.execute(asked if kinds is None else asked.where(table.c.kind.in_(kinds))).scalars()))


def are_units(shop: Shop, uids: Sequence[str]) -> bool:
    """Whether all of these are extinguishers, and none an instrument or a person."""
    with shop._reading() as connection:
        return projection.units_among(connection, uids) == set(uids)


def touched_sheets(shop: Shop, since: Mark) -> list[str]:
    """The uids of the job sheets that were begun or added to after the mark."""
    begun = sa.select(schema.sheets.c.uid).where(sqlite.ROW_NUMBER.op(">")(since.sheets))
    added = sa.select(schema.sheet_entries.c.sheet).where(sqlite.ROW_NUMBER.op(">")(since.entries))
    with shop._reading() as connection:
        return sorted({*connection.execute(begun).scalars(), *connection.execute(added).scalars()})


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """Some units as they stand: their states, the recall lists they were found on, and every number each has or had, by uid."""

    states: Mapping[str, UnitState]
    recalls: Mapping[str, tuple[str, ...]]
    names: Mapping[str, tuple[str, ...]]


def units_now(shop: Shop, uids: Sequence[str]) -> Seen:
    """Some units as they stand; one that is no unit is left out."""
    names = schema.unit_names
    states: dict[str, UnitState] = {}
    called: dict[str, list[str]] = {}
    with shop._reading() as connection:
        recalls = projection.recalls(connection, uids)
        for some in chunks(uids):
            states |= {state.uid or "": state for state in projection.read_units(connection, some)}
            for row in connection.execute(sa.select(names.c.unit, names.c.name).where(names.c.unit.in_(some))):
                called.setdefault(row.unit, []).append(row.name)
    return Seen(states=states, recalls=recalls, names={uid: tuple(sorted(each)) for uid, each in called.items()})
