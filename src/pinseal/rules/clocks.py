"""One clock over a column of units: from the facts that start and restart it to the last permitted day.

Both ends of every date go through the same rule, so a fact known to the month or the year gives a due date that is as
wide as the fact. `UNKNOWN_DAY` in gives `FAR` out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.rules.tables import FAR, UNKNOWN_DAY, Days, next_january, table_for, year_end_after
from pinseal.standards.model import Clock, Interval, Start

Facts = Callable[[str], tuple[Days, Days]]


@dataclass(frozen=True, slots=True)
class Window:
    """Earliest and latest reading of the last permitted day, and the first day on which the work counts (or None)."""

    earliest: Days
    latest: Days
    not_before: Days | None = None


@dataclass(frozen=True, slots=True)
class Basis:
    """How a shop counts its yearly maintenance: a key of `kinds.MAINTENANCE_BASES`."""

    maintenance: str = "anniversary"

    def __post_init__(self) -> None:
        kinds.require(self.maintenance, kinds.MAINTENANCE_BASES, what="basis of the yearly maintenance")

    def of(self, duty: str, interval: Interval, convention: str, tolerance_months: int) -> tuple[Interval, str]:
        """The interval and convention by which a clock of this duty is counted in this shop."""
        yearly = duty == "maintenance" and interval == Interval(1, "year") and convention == "anniversary" and not tolerance_months
        if not yearly or self.maintenance == "anniversary":
            return interval, convention
        return (Interval(365, "day"), "days") if self.maintenance == "strict-365" else (interval, "end-of-month")


def _look_up(basis: Basis, duty: str, interval: Interval, convention: str, tolerance_months: int, *, side: int) -> Days:
    interval, convention = basis.of(duty, interval, convention, tolerance_months)
    return table_for(interval.count, interval.unit, convention, shift_months=side * tolerance_months)


def restart_days(facts: Facts, after: tuple[str, ...]) -> tuple[Days, Days] | None:
    """The latest of the facts that restart a clock, at both ends; None where no fact of these kinds is on record.

    A recharge that may have included the inside work counts for the late end only.
    """
    found: tuple[Days, Days] | None = None
    for fact in after:
        earliest, latest = facts(fact)
        if fact == "recharge-opened":
            latest = np.maximum(latest, facts("recharge-maybe-opened")[1])
        found = (earliest, latest) if found is None else (np.maximum(found[0], earliest), np.maximum(found[1], latest))
    return found


def _without_late_ones(facts: Facts, start: Start) -> tuple[Days, Days]:
    """A start, set aside where it lies too long after the fact it is bound to (a unit first tagged when no longer new).

    Where that turns on days that are not known, the early end sets it aside and the late end keeps it.
    """
    earliest, latest = facts(start.fact)
    if start.within is None or start.within_of is None:
        return earliest, latest
    limit = table_for(start.within.count, start.within.unit, "anniversary")
    bound = facts(start.within_of)
    perhaps, surely = latest > limit[bound[0]], earliest > limit[bound[1]]
    return np.where(perhaps, UNKNOWN_DAY, earliest), np.where(surely, UNKNOWN_DAY, latest)


def _start_due(facts: Facts, duty: str, clock: Clock, start: Start, basis: Basis, *, side: int) -> tuple[Days, Days]:
    """The due date that one start alone would give."""
    earliest, latest = _without_late_ones(facts, start)
    table = _look_up(basis, duty, start.interval, start.convention, clock.tolerance_months, side=side)
    due = (table[earliest], table[latest])
    return _year_only(earliest, latest, due) if start.year_only_next_january else due


def _first(facts: Facts, duty: str, clock: Clock, basis: Basis, *, side: int) -> tuple[Days, Days]:
    """The first due date of a unit on which the duty was never done, by the start that is picked."""
    found: tuple[Days, Days] | None = None
    for start in clock.first:
        due = _start_due(facts, duty, clock, start, basis, side=side)
        if found is None:
            found = due
        elif clock.pick == "earliest":
            found = (np.minimum(found[0], due[0]), np.minimum(found[1], due[1]))
        else:
            found = (np.where(found[0] == FAR, due[0], found[0]), np.where(found[1] == FAR, due[1], found[1]))
    assert found is not None, "a clock that is looked up has a start"
    return found


def _year_only(earliest: Days, latest: Days, due: tuple[Days, Days]) -> tuple[Days, Days]:
    whole_year = (latest - earliest >= 364) & (year_end_after(0)[earliest] == latest)
    january = next_january()[earliest]
    return np.where(whole_year, january, due[0]), np.where(whole_year, january, due[1])


def _shares_its_table(clock: Clock) -> bool:
    """One start, counted like every later round: then start and restart can be looked up together."""
    if len(clock.first) != 1:
        return False
    start = clock.first[0]
    plain = start.within is None and not start.year_only_next_january
    return plain and (start.interval, start.convention) == (clock.interval, clock.convention)


def _counted(facts: Facts, duty: str, clock: Clock, basis: Basis, *, side: int) -> tuple[Days, Days]:
    restart = restart_days(facts, clock.after) if clock.after else None
    if restart is None or clock.interval is None:
        return _first(facts, duty, clock, basis, side=side)
    table = _look_up(basis, duty, clock.interval, clock.convention, clock.tolerance_months, side=side)
    if not clock.first:
        return table[restart[0]], table[restart[1]]
    if _shares_its_table(clock):
        start = facts(clock.first[0].fact)
        return tuple(table[np.where(r >= 0, r, s)] for r, s in zip(restart, start, strict=True))  # type: ignore[return-value]
    first = _first(facts, duty, clock, basis, side=side)
    return tuple(np.where(r >= 0, table[r], f) for r, f in zip(restart, first, strict=True))  # type: ignore[return-value]


def run(facts: Facts, duty: str, clock: Clock, basis: Basis) -> Window:
    """Evaluate one clock for the units whose facts are given. `facts(name)` returns their earliest and latest days."""
    earliest, latest = _counted(facts, duty, clock, basis, side=1)
    unknown = (earliest == FAR) | (latest == FAR)
    if unknown.any():
        earliest, latest = np.where(unknown, FAR, earliest), np.where(unknown, FAR, latest)
    # Two facts with swapped precision can cross (a start known to the day beside a restart that is only perhaps there).
    earliest, latest = np.minimum(earliest, latest), np.maximum(earliest, latest)
    not_before = _counted(facts, duty, clock, basis, side=-1)[0] if clock.tolerance_months else None
    return Window(earliest, latest, not_before)


def facts_of(earliest: Mapping[str, Days], latest: Mapping[str, Days], rows: slice | NDArray[np.intp], count: int) -> Facts:
    """A reader of some rows of the date columns; a fact that no unit has reads as not known."""
    none = np.full(count, UNKNOWN_DAY, np.int32)
    cache: dict[str, tuple[Days, Days]] = {}

    def facts(name: str) -> tuple[Days, Days]:
        if name not in cache:
            cache[name] = (earliest[name][rows], latest[name][rows]) if name in earliest else (none, none)
        return cache[name]

    return facts


@dataclass(frozen=True, slots=True)
class Path:
    """Which fact a clock was counted from, for one unit.

    `kind` is `restart`, `first`, `perhaps` (only a recharge that may have included the inside work) or `none`.
    """

    kind: str
    fact: str | None = None
    date: PartialDate | None = None
    start: Start | None = None


def trace(facts: Facts | None, dates: Mapping[str, PartialDate], duty: str, clock: Clock, basis: Basis) -> Path:
    """Tell for one unit which fact set its clock: the same choice that `run` makes.

    `facts` (columns of length one) is needed where the starts of a clock compete; without it the first known one is told.
    """
    restarts = [(dates[f].earliest, dates[f].latest, f) for f in clock.after if f in dates]
    if restarts:
        fact = max(restarts)[2]
        return Path("restart", fact, dates[fact])
    known = [s for s in clock.first if s.fact in dates]
    if facts is not None:
        due = {s: int(_start_due(facts, duty, clock, s, basis, side=1)[1][0]) for s in known}
        known = [s for s in known if due[s] != FAR]
        if clock.pick == "earliest":
            known.sort(key=lambda s: due[s])
    return Path("first", known[0].fact, dates[known[0].fact], known[0]) if known else Path("none")
