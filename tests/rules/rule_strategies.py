"""Hypothesis strategies for units, dates known to the day, month or year, and choices of packs."""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import strategies as st
from trade_cases import KINDS, nameplate

from pinseal.dates import PartialDate
from pinseal.records.unit import UnitState, with_recharge
from pinseal.standards import held_packs
from pinseal.units import Quantity

ON = date(2026, 11, 24)
FACTS = ("manufactured", "placed-in-service", "sold-and-tagged")
DEEDS = (
    "inspection", "maintenance", "internal-examination", "hydrostatic-test", "recharge", "hose-test", "conductivity-test",
    "agent-renewal", "expellant-cylinder-test", "regulator-test",
)  # fmt: skip

days = st.dates(date(1975, 1, 1), ON)
OPENED = (True, False, None)


@st.composite
def partial_dates(draw: st.DrawFn, earliest: date = date(1975, 1, 1), latest: date = ON) -> PartialDate:
    """A date that lies whole between two days; day, month or year."""
    day = draw(st.dates(earliest, latest))
    fits = [p for p in (PartialDate(day.year), PartialDate(day.year, day.month)) if earliest <= p.earliest and p.latest <= latest]
    return draw(st.sampled_from([PartialDate.of(day), *fits]))


@st.composite
def plates(draw: st.DrawFn) -> dict[str, Any]:
    """A nameplate that is said in full, as a table for `nameplate`."""
    said = dict(KINDS[draw(st.sampled_from(sorted(KINDS)))])
    said["hose"] = draw(st.sampled_from(["none", "plain", "shut-off"]))
    said["cylinder_specification"] = draw(st.sampled_from([None, "none", "4BW500", "3AL1800", "3E1800", "4DS500"]))
    said["water_capacity"] = draw(st.sampled_from([Quantity(value=v, unit="lb") for v in (8, 12, 30)]))
    return said


@st.composite
def histories(draw: st.DrawFn, *, exact: bool = False) -> dict[str, PartialDate]:
    """Some dated facts; the recharge may have been opened or not."""
    made = draw(st.dates(date(1980, 1, 1), ON))
    when = st.dates(made, ON).map(PartialDate.of) if exact else partial_dates(made)
    month = PartialDate(made.year, made.month)
    found = {"manufactured": PartialDate.of(made) if exact else draw(st.sampled_from([PartialDate.of(made), month]))}
    for fact in sorted(draw(st.sets(st.sampled_from([*FACTS[1:], *DEEDS])))):
        if fact == "recharge":
            found = with_recharge(found, draw(when), opened=draw(st.sampled_from(OPENED)))
        else:
            found[fact] = draw(when)
    if draw(st.integers(0, 4)) == 0:
        del found["manufactured"]
    return found


@st.composite
def units(draw: st.DrawFn, *, vague: bool = False) -> UnitState:
    """A unit with a history; `vague` leaves some of its nameplate unsaid."""
    said = draw(plates())
    if vague:
        said = {name: None if draw(st.booleans()) else value for name, value in said.items()}
    return UnitState(
        nameplate=nameplate(said), dates=draw(histories()), test_method=draw(st.sampled_from([None, "proof-pressure", "water-jacket"]))
    )


def choices(names: tuple[str, ...] = tuple(held_packs()), most: int = 3) -> st.SearchStrategy[list[str]]:
    """The names of some packs, in some order."""
    return st.lists(st.sampled_from(names), min_size=1, max_size=most, unique=True)
