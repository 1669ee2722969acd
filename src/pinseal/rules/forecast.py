"""The chain of dues over the years to come, if each is done on time.

A forecast does the next job of every unit on its due day, lets it restart what it restarts (a hydrostatic test is also
an opening), and asks the one engine again, for the whole fleet at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import LAST_YEAR, day_number, from_day_number
from pinseal.reasons import Refusal
from pinseal.rules.clocks import Basis
from pinseal.rules.columns import Fleet
from pinseal.rules.dues import evaluate
from pinseal.rules.result import NO
from pinseal.rules.tables import FAR, UNKNOWN_DAY, Days
from pinseal.standards.model import Chosen

# The monthly look is left out unless asked for: it would bury the jobs that need a van.
FORECAST_DUTIES = tuple(duty for duty in kinds.DUTIES if duty != "inspection")
YEARS_MAX = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One future job: the unit's place in the fleet, the duty, the day it is planned for (the early end of its due)."""

    index: int
    duty: str
    on: date


def _grow(fleet: Fleet, on: date) -> Fleet:
    """A copy of a fleet whose date columns can be written, without facts that lie in the future."""
    today = np.int32(day_number(on))
    none = np.full(fleet.size, UNKNOWN_DAY, np.int32)
    names = dict.fromkeys((*fleet.earliest, *(d for d in kinds.DUTIES if d in kinds.FACTS)))
    past = {n: fleet.earliest.get(n, none) <= today for n in names}
    earliest = {n: np.where(past[n], fleet.earliest.get(n, none), UNKNOWN_DAY) for n in names}
    latest = {n: np.where(past[n], fleet.latest.get(n, none), UNKNOWN_DAY) for n in names}
    return replace(fleet, earliest=earliest, latest=latest)


class _Chain:
    """The fleet as it would stand if every job so far had been done."""

    def __init__(self, fleet: Fleet, chosen: Sequence[Chosen], on: date, end: date, basis: Basis, duties: Sequence[str]) -> None:
        self.fleet, self.chosen, self.on, self.end, self.basis, self.duties = _grow(fleet, on), chosen, on, end, basis, duties
        self.retired = np.zeros(fleet.size, np.bool_)

    def planned(self) -> dict[str, Days]:
        """For each duty the day it is planned for: the early end of its due, never before today; FAR where there is none."""
        evaluation = evaluate(self.fleet, self.chosen, self.on, basis=self.basis, known_until=self.end)
        today, found = np.int32(day_number(self.on)), {}
        for duty in self.duties:
            if duty in evaluation.duties:
                dues = evaluation.duties[duty]
                owed = (dues.state != NO) & (dues.earliest != FAR) & ~self.retired
                found[duty] = np.where(owed, np.maximum(dues.earliest, today), FAR)
        return found

    def do(self, duty: str, who: NDArray[np.intp], days: Days) -> None:
        if duty == "retirement":
            self.retired[who] = True
            return
        self.fleet.earliest[duty][who] = days
        self.fleet.latest[duty][who] = days


def forecast(
    fleet: Fleet, chosen: Sequence[Chosen], on: date, *, years: int, basis: Basis | None = None, duties: Sequence[str] = FORECAST_DUTIES
) -> Iterator[Job]:
    """Every job of the coming `years` (1 to 40), in rounds: in each round every unit does what comes first. Raises `Refusal`."""
    if not 1 <= years <= YEARS_MAX or on.year + years > LAST_YEAR:
        raise Refusal(
            what="the forecast is too long",
            rule=f"1 to {YEARS_MAX} years, to the end of {LAST_YEAR}",
            got=str(years),
            do="ask for fewer years",
        )
    end = date(on.year + years, on.month, min(on.day, 28))
    chain, last = _Chain(fleet, chosen, on, end, basis or Basis(), duties), np.int32(day_number(end))
    while True:
        planned = chain.planned()
        first = np.minimum.reduce(list(planned.values())) if planned else np.full(fleet.size, FAR)
        if not (first <= last).any():
            return
        for duty, days in planned.items():
            who = np.flatnonzero((days == first) & (days <= last))
            if duty == "internal-examination" and "hydrostatic-test" in planned:
                # A hydrostatic test is itself an opening: one job on that day, not two.
                who = who[planned["hydrostatic-test"][who] != days[who]]
            yield from (Job(index=int(i), duty=duty, on=from_day_number(int(days[i]))) for i in who)
            chain.do(duty, who, days[who])
