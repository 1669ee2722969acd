"""Looking for visits: which sites there ever were, which units belonged to one, on which days somebody worked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import sqlalchemy as sa

from pinseal.store import schema
from pinseal.store.shop import Shop

_DAY_LENGTH = len("2026-11-24")


def site_names(shop: Shop) -> list[str]:
    """Every name of a site that any record gives, also of sites that no unit belongs to any more."""
    table, found = schema.records, set[str]()
    with shop._reading() as connection:
        for name in ("site", "to-site"):
            said = table.c.fields[name].as_string()
            found |= set(connection.execute(sa.select(said).where(said.is_not(None)).distinct()).scalars())
    return sorted(found)


def units_ever_at(shop: Shop, site: str) -> list[str]:
    """The uids of the units of which any record names this site, as it is spelt there."""
    table = schema.records
    named = sa.or_(*(table.c.fields[name].as_string() == site for name in ("site", "to-site")))
    with shop._reading() as connection:
        return list(connection.execute(sa.select(table.c.unit).where(named).distinct().order_by(table.c.unit)).scalars())


def deeds_between(shop: Shop, kinds: Sequence[str], first: date, last: date) -> list[tuple[str, str]]:
    """Unit and day (ISO) of the records of some kinds whose deed is known to the day, from `first` to `last`; the latest day first."""
    table = schema.records
    # Days are kept in ISO, so they sort as texts; a year or a month alone is shorter and is no day.
    known = sa.and_(table.c.done.between(first.isoformat(), last.isoformat()), sa.func.length(table.c.done) == _DAY_LENGTH)
    asked = (
        sa.select(table.c.unit, table.c.done).where(table.c.kind.in_(kinds), known).distinct().order_by(table.c.done.desc(), table.c.unit)
    )
    with shop._reading() as connection:
        return [(row.unit, row.done) for row in connection.execute(asked)]
