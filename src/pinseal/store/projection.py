"""The present state of every unit, kept beside the records: it can be made anew and is checked against a full fold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from pinseal.records.fold import Unit, fold_all
from pinseal.records.record import Record
from pinseal.records.registering import read_state, registered_fields
from pinseal.records.registers import other_subjects
from pinseal.records.unit import UnitState
from pinseal.store import schema
from pinseal.store.rows import chunks, read_records, select_records

_NAMES = {"extinguisher": "id", "shell": "serial", "tag": "tag"}


def name_key(text: str) -> str:
    """How a number is compared: without outer spaces, and capitals like small letters."""
    return text.strip().casefold()


def refresh(connection: sa.Connection, units: Iterable[str]) -> None:
    """Fold some subjects anew, in the caller's transaction."""
    for some in chunks(sorted(set(units))):
        rows = connection.execute(select_records().where(schema.records.c.unit.in_(some))).mappings()
        records = read_records(rows)
        folded, others = fold_all(records), other_subjects(records)
        connection.execute(sa.delete(schema.unit_names).where(schema.unit_names.c.unit.in_(some)))
        connection.execute(sa.delete(schema.units).where(schema.units.c.uid.in_(some)))
        connection.execute(sa.delete(schema.subjects).where(schema.subjects.c.uid.in_(some)))
        _insert(connection, list(folded.values()))
        if others:
            connection.execute(sa.insert(schema.subjects), [{"uid": uid, "about": about} for uid, about in others.items()])


def rebuild(connection: sa.Connection) -> int:
    """Throw the projection away and fold every unit anew. Returns how many units there are."""
    connection.execute(sa.delete(schema.unit_names))
    connection.execute(sa.delete(schema.units))
    connection.execute(sa.delete(schema.subjects))
    refresh(connection, connection.execute(sa.select(schema.records.c.unit).distinct()).scalars().all())
    return connection.execute(sa.select(sa.func.count()).select_from(schema.units)).scalar_one()


def _insert(connection: sa.Connection, folded: Sequence[Unit]) -> None:
    names = [row for unit in folded for row in _name_rows(unit)]
    if folded:
        connection.execute(sa.insert(schema.units), [unit_row(unit) for unit in folded])
    if names:
        connection.execute(sa.insert(schema.unit_names), names)


def unit_row(unit: Unit) -> dict[str, Any]:
    """What the projection holds of a unit."""
    return {
        "uid": unit.state.uid,
        "said": registered_fields(unit.state),
        "set_by": dict(unit.state.set_by),
        "removed": unit.state.removed,
        "recalled": list(unit.recalled),
        "marks": [{"record": mark.record, "text": mark.text} for mark in unit.marks],
    }


def _name_rows(unit: Unit) -> list[dict[str, Any]]:
    """Every number that the unit has or had, once each."""
    rows: dict[tuple[str, str], dict[str, Any]] = {}
    for identity, kind in _NAMES.items():
        for held in unit.identities[identity]:
            key = name_key(held.value)
            rows[kind, key] = {"unit": unit.state.uid, "kind": kind, "name": key, "held_now": False}
    for kind, value in (("id", unit.state.id), ("serial", unit.state.serial), ("tag", unit.tag)):
        if value:
            rows[kind, name_key(value)]["held_now"] = True
    return list(rows.values())


def read_units(connection: sa.Connection, uids: Sequence[str] | None = None) -> list[UnitState]:
    """The present state of all units, or of some, in the order of their uids: that is the order of their registering."""
    table = schema.units
    asked = sa.select(table.c.uid, table.c.said, table.c.set_by).order_by(table.c.uid)
    if uids is not None:
        asked = asked.where(table.c.uid.in_(uids))
    return [read_state(row.said, uid=row.uid, set_by=row.set_by) for row in connection.execute(asked)]


def recalls(connection: sa.Connection, uids: Sequence[str] | None) -> dict[str, tuple[str, ...]]:
    """The recall lists on which units (or these units) were found, by uid; a unit on none is left out."""
    table = schema.units
    asked = sa.select(table.c.uid, table.c.recalled).order_by(table.c.uid)
    parts = [asked] if uids is None else [asked.where(table.c.uid.in_(some)) for some in chunks(uids)]
    return {row.uid: tuple(row.recalled) for part in parts for row in connection.execute(part) if row.recalled}


def find(connection: sa.Connection, text: str) -> list[UnitState]:
    """The units that an id, a serial, a tag or a uid can mean.

    What a unit is called now goes before what it was called once, and units of the fleet before removed ones.
    """
    key, names = name_key(text), schema.unit_names
    exact = read_units(connection, [key])
    if exact:
        return exact
    named = connection.execute(sa.select(names.c.unit, names.c.held_now).where(names.c.name == key).distinct()).all()
    now = sorted({row.unit for row in named if row.held_now})
    found = read_units(connection, now or sorted({row.unit for row in named}))
    return [unit for unit in found if unit.removed is None] or found


def differences(connection: sa.Connection, records: Sequence[Record]) -> list[str]:
    """Where the projection says something else than a full fold of the records."""
    folded = fold_all(records)
    wanted = {uid: unit_row(unit) for uid, unit in folded.items()}
    kept = {row["uid"]: dict(row) for row in connection.execute(sa.select(schema.units)).mappings()}
    names = {tuple(row) for row in connection.execute(sa.select(schema.unit_names))}
    wanted_names = {tuple(row.values()) for unit in folded.values() for row in _name_rows(unit)}
    odd = sorted(_differing(wanted, kept) | {row[0] for row in names ^ wanted_names}, key=str)  # a damaged uid may be no text
    strangers = sorted(_differing(other_subjects(records), subjects(connection)), key=str)
    return [f"the kept state of unit {uid} is not what its records say; rebuild the projection" for uid in odd] + [
        f"what {uid} stands for is not what its records say; rebuild the projection" for uid in strangers
    ]


def subjects(connection: sa.Connection) -> dict[str, str]:
    """The uids that stand for no extinguisher: `instrument` or `person` by uid. They are few beside the units."""
    table = schema.subjects
    return {row.uid: row.about for row in connection.execute(sa.select(table).order_by(table.c.uid))}


def units_among(connection: sa.Connection, uids: Sequence[str]) -> set[str]:
    """Those of some uids that are extinguishers of this shop."""
    table = schema.units
    return {uid for some in chunks(uids) for uid in connection.execute(sa.select(table.c.uid).where(table.c.uid.in_(some))).scalars()}


def _differing(wanted: Mapping[str, object], kept: Mapping[str, object]) -> set[str]:
    return {uid for uid in wanted.keys() | kept.keys() if wanted.get(uid) != kept.get(uid)}
