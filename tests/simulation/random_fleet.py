"""Random units in columns, by the million: any plausible nameplate, dates of any precision, facts that are missing or lie ahead."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import EPOCH
from pinseal.rules.columns import Fleet
from pinseal.standards.model import ATTRIBUTES

ON = date(2026, 11, 24)
_FIRST, _LAST = date(1948, 1, 1), date(2028, 3, 1)  # some before 1955, some not done yet
_RECHARGES = ("recharge", "recharge-opened", "recharge-maybe-opened")
_DEEDS = tuple(fact for fact in kinds.FACTS if fact != "manufactured" and fact not in _RECHARGES)
# Facts that may be left unsaid. A specification that is not said is read as none, so that leaving it out is no widening.
UNSAID = {"agent": 0.06, "expelled_by": 0.2, "shell": 0.2, "wheeled": 0.2, "rechargeable": 0.2, "hose": 0.2, "water_capacity": 0.3,
          "test_method": 0.3}  # fmt: skip

Days = NDArray[np.int32]


def _number(day: date) -> int:
    return (day - EPOCH).days


def _plates(rng: np.random.Generator, size: int) -> dict[str, NDArray[np.int8]]:
    """Every attribute said: the agent at random, then an expelling means and a shell that go with it."""
    plates = {name: rng.integers(0, len(codes), size).astype(np.int8) for name, codes in ATTRIBUTES.items()}
    for name in ("expelled_by", "shell"):
        for number, agent in enumerate(kinds.AGENTS.values()):
            fitting = [ATTRIBUTES[name].index(code) for code in getattr(agent, "shells" if name == "shell" else name)]
            these = np.flatnonzero(plates["agent"] == number)
            plates[name][these] = rng.choice(np.array(fitting, np.int8), len(these))
    plates["rechargeable"] = np.where(rng.random(size) < 0.8, 0, 1).astype(np.int8)
    return plates


def _widened(rng: np.random.Generator, days: Days) -> tuple[Days, Days]:
    """The ends of dates of which some are known only to the month or the year."""
    moments = np.datetime64("1900-01-01", "D") + days
    precision = rng.random(len(days))
    ends = [days, days]
    for unit, share in (("datetime64[M]", 0.4), ("datetime64[Y]", 0.15)):
        start = moments.astype(unit)
        bounds = start.astype("datetime64[D]"), (start + 1).astype("datetime64[D]") - 1
        numbers = [(bound - np.datetime64("1900-01-01", "D")).astype(np.int32) for bound in bounds]
        ends = [np.where(precision < share, number, end) for number, end in zip(numbers, ends, strict=True)]
    return ends[0].astype(np.int32), ends[1].astype(np.int32)


def random_fleet(size: int, seed: int) -> Fleet:
    """`size` units whose nameplates say everything."""
    rng = np.random.default_rng(seed)
    made = rng.integers(_number(_FIRST), _number(ON), size).astype(np.int32)
    recent = rng.random(size) < 0.8
    made[recent] = rng.integers(_number(date(2000, 1, 1)), _number(ON), int(recent.sum()))
    earliest: dict[str, Days] = {}
    latest: dict[str, Days] = {}

    def keep(fact: str, days: Days, there: NDArray[np.bool_]) -> None:
        ends = _widened(rng, days)
        earliest[fact], latest[fact] = (np.where(there, end, -1).astype(np.int32) for end in ends)

    def later() -> Days:
        return np.minimum(made + rng.integers(0, 9000, size), _number(_LAST)).astype(np.int32)

    keep("manufactured", made, rng.random(size) < 0.85)
    for fact in _DEEDS:
        keep(fact, later(), rng.random(size) < 0.4)
    _recharges(rng, keep, later, earliest, latest, size)
    return Fleet(size=size, attributes=_plates(rng, size), earliest=earliest, latest=latest)


def _recharges(rng, keep, later, earliest, latest, size):  # type: ignore[no-untyped-def]
    """An older recharge with the inside work, and a newer one: with it, without it, or not said."""
    keep("recharge-opened", later(), rng.random(size) < 0.25)
    keep("recharge", later(), rng.random(size) < 0.4)
    newer = latest["recharge"] > latest["recharge-opened"]
    newer &= earliest["recharge"] >= earliest["recharge-opened"]
    opened = rng.integers(0, 3, size)
    for ends in (earliest, latest):
        ends["recharge"] = np.where(newer, ends["recharge"], ends["recharge-opened"])
        ends["recharge-maybe-opened"] = np.where(newer & (opened != 1), ends["recharge"], ends["recharge-opened"])
        ends["recharge-opened"] = np.where(newer & (opened == 0), ends["recharge"], ends["recharge-opened"])


def said_less(fleet: Fleet, seed: int) -> Fleet:
    """The same units with some nameplate facts not said. One that is not rechargeable says so: unsaid means rechargeable."""
    rng = np.random.default_rng(seed)
    attributes = {name: codes.copy() for name, codes in fleet.attributes.items()}
    for name, share in UNSAID.items():
        gone = rng.random(fleet.size) < share
        if name == "rechargeable":
            gone &= attributes[name] == ATTRIBUTES[name].index("yes")
        attributes[name][gone] = -1
    return replace(fleet, attributes=attributes)
