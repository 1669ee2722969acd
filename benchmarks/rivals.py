"""The same dues worked out in two other ways, from the same packs: a plain python-dateutil loop, and DuckDB SQL.

Both take fleets whose nameplates say everything, since neither widens a due for a fact that is not said.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import duckdb
import numpy as np
from dateutil.relativedelta import relativedelta

from pinseal.dates import EPOCH
from pinseal.rules.columns import Fleet
from pinseal.rules.matching import fits
from pinseal.standards.model import ATTRIBUTES, Chosen, Clock, Interval, Provision

DUTIES = ("inspection", "maintenance", "internal-examination", "hydrostatic-test", "hose-test", "agent-renewal", "conductivity-test")


def provisions(chosen: Sequence[Chosen], duty: str, on: date) -> list[tuple[str, list[Provision]]]:
    """For each pack the clock provisions of a duty that are in force."""
    found = [(c.pack.id, [p for p in c.provisions if p.duty == duty and p.clock and p.governs and p.in_force(on)]) for c in chosen]
    return [(pack, ps) for pack, ps in found if ps]


# -- python-dateutil, unit by unit


def _add(day: date, interval: Interval, convention: str) -> date:
    if interval.unit == "day":
        return day + timedelta(days=interval.count)
    later = day + relativedelta(months=interval.months)
    if convention == "end-of-month":
        return later + relativedelta(day=31)
    return date(later.year, 12, 31) if convention == "end-of-year" else later


def _one(clock: Clock, dates: dict[str, date]) -> date | None:
    restarts = [dates[f] for f in clock.after if f in dates]
    if restarts and clock.interval:
        return _add(max(restarts), clock.interval, clock.convention)
    return next((_add(dates[s.fact], s.interval, s.convention) for s in clock.first if s.fact in dates), None)


def dateutil_loop(fleet: Fleet, chosen: Sequence[Chosen], on: date, count: int) -> int:
    """Both ends of every due of the first `count` units, by every pack. Returns how many dues there were."""
    rules = [(duty, pack, ps) for duty in DUTIES for pack, ps in provisions(chosen, duty, on)]
    found = 0
    for row in range(count):
        plate = {n: ATTRIBUTES[n][c[row]] if c[row] >= 0 else None for n, c in fleet.attributes.items()}
        ends = [{f: EPOCH + timedelta(days=int(c[row])) for f, c in end.items() if c[row] >= 0} for end in (fleet.earliest, fleet.latest)]
        for _, _, ps in rules:
            provision = next((p for p in ps if fits(p, plate)), None)
            if provision and provision.clock:
                found += sum(1 for dates in ends if _one(provision.clock, dates) is not None)
    return found


# -- DuckDB


def _column(fact: str, end: str) -> str:
    return f"{fact.replace('-', '_')}_{end}"


def load(fleet: Fleet) -> duckdb.DuckDBPyConnection:
    """The fleet as a DuckDB table: codes as small integers, dates as DATE, missing as NULL."""
    connection = duckdb.connect()
    columns: dict[str, Any] = dict(fleet.attributes.items())
    for end, dates in (("e", fleet.earliest), ("l", fleet.latest)):
        columns |= {_column(fact, end): days for fact, days in dates.items()}
    raw = columns  # noqa: F841 - DuckDB reads it by its name
    facts = [_column(f, end) for f in fleet.earliest for end in ("e", "l")]
    dates_sql = ", ".join(f"CASE WHEN {c} >= 0 THEN (DATE '1900-01-01' + {c})::DATE END AS {c}" for c in facts)
    columns["unit"] = np.arange(fleet.size, dtype=np.int32)
    connection.execute(f"CREATE TABLE fleet AS SELECT unit, {', '.join(fleet.attributes)}, {dates_sql} FROM raw")
    return connection


def _added(day: str, interval: Interval, convention: str) -> str:
    if interval.unit == "day":
        return f"({day} + {interval.count})"
    if convention == "end-of-year":
        return f"make_date(year({day}) + {interval.count}, 12, 31)"
    later = f"({day} + INTERVAL {interval.months} MONTH)::DATE"
    return f"last_day({later})" if convention == "end-of-month" else later


def _clock_sql(clock: Clock, end: str, known: set[str]) -> str:
    after = [_column(f, end) for f in clock.after if f in known]
    parts = []
    if after and clock.interval:
        latest = f"greatest({', '.join(after)})" if len(after) > 1 else after[0]
        parts.append(_added(latest, clock.interval, clock.convention))
    parts += [_added(_column(s.fact, end), s.interval, s.convention) for s in clock.first if s.fact in known]
    return f"coalesce({', '.join(parts)})" if parts else "NULL::DATE"


def _case(ps: Sequence[Provision], end: str, known: set[str]) -> str:
    cases = []
    for p in ps:
        tests = [f"{name} IN ({', '.join(str(ATTRIBUTES[name].index(c)) for c in sorted(codes))})" for name, codes in p.applies.items()]
        assert p.clock is not None
        cases.append(f"WHEN {' AND '.join(tests) or 'true'} THEN {_clock_sql(p.clock, end, known)}")
    return f"CASE {' '.join(cases)} END"


def duckdb_sql(fleet: Fleet, chosen: Sequence[Chosen], on: date) -> str:
    """One statement: for every unit, pack and duty both ends of the due, and for every duty the least of each and the state."""
    known, inner, outer = set(fleet.earliest), [], []
    for duty in DUTIES:
        packs = provisions(chosen, duty, on)
        names = []
        for pack, ps in packs:
            name = f"{duty}_{pack}".replace("-", "_")
            names.append(name)
            inner += [f"{_case(ps, end, known)} AS {name}_{end}" for end in ("e", "l")]
        short = duty.replace("-", "_")
        ends = {end: f"least({', '.join(f'{n}_{end}' for n in names)})" for end in ("e", "l")}
        outer += [*(f"{n}_{end}" for n in names for end in ("e", "l")), f"{ends['e']} AS {short}_e", f"{ends['l']} AS {short}_l"]
        today = f"DATE '{on.isoformat()}'"
        late, early = ends["l"], ends["e"]
        states = f"WHEN {late} < {today} THEN 4 WHEN {early} < {today} THEN 3 WHEN {early} <= {today} + 30 THEN 2 ELSE 1"
        outer.append(f"CASE {states} END AS {short}_state")
    return f"SELECT unit, {', '.join(outer)} FROM (SELECT unit, {', '.join(inner)} FROM fleet)"


def day_numbers(column: Any) -> np.ndarray[Any, np.dtype[np.int64]]:
    """A DuckDB DATE column as day numbers; missing is the largest int32."""
    masked = np.ma.masked_array(column)
    days = (np.ma.getdata(masked).astype("datetime64[D]") - np.datetime64("1900-01-01", "D")).astype(np.int64)
    return np.where(np.ma.getmaskarray(masked), 2**31 - 1, days)
