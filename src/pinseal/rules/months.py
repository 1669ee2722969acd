"""The monthly record: what is on record of a unit in each month, told apart from what is not.

A calendar month is a bin of this paper, not a rule: whether a gap breaks one is for the clock of the inspection, which the
inventory shows. Whether a service may stand for the inspection of its month differs (common practice, no source), so it is
told apart from one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from pinseal.dates import PartialDate
from pinseal.records.corrections import Fact
from pinseal.records.record_kinds import KINDS

# What a cell says, the strongest first: the first one that holds is told.
MONTH_STATES: dict[str, str] = {
    "seen": "looked at, by an inspection",
    "service": "other work was done on it; whether that stands for the inspection is for local rules",
    "tried": "it was to be looked at and could not be",
    "maybe": "an inspection that is known only to a longer time may have been in this month",
    "open": "nothing yet; the month is not over",
    "none": "nothing is on record: a gap",
    "absent": "it was not in the fleet of this site, as far as is on record",
}
GAPS = ("none", "tried")


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """A month from its first day to its last."""

    first: date
    last: date

    @classmethod
    def of(cls, year: int, month: int) -> Month:
        whole = PartialDate(year, month)
        return cls(first=whole.earliest, last=whole.latest)

    @property
    def code(self) -> str:
        return f"{self.first:%Y-%m}"


def twelve_months(last: date) -> tuple[Month, ...]:
    """The twelve months that end with the month of a day.

    >>> [month.code for month in twelve_months(date(2026, 2, 3))][::11]
    ['2025-03', '2026-02']
    """
    number = last.year * 12 + last.month - 1
    return tuple(Month.of(each // 12, each % 12 + 1) for each in range(number - 11, number + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthCell:
    """What is on record of one unit in one month. `facts` are the records that say so, in their order."""

    state: str
    facts: tuple[Fact, ...] = ()

    def as_json(self, people: Mapping[str, str]) -> dict[str, Any]:
        said = [{"record": f.uid, "kind": f.kind, "on": str(f.done), "person": people.get(f.uid, "")} for f in self.facts]
        return {"state": self.state, "records": said}


def month_cells(facts: Sequence[Fact], months: Sequence[Month], *, here: Callable[[Month], bool], today: date) -> tuple[MonthCell, ...]:
    """The cells of one unit. `facts` are those that count; `here` says whether it was at the site in a month; `today` ends the record."""
    told = [(fact, fact.done.earliest, fact.done.latest) for fact in facts if _sort(fact)]
    own = [_Told(fact, first, last) for fact, first, last in told if last >= months[0].first and first <= today]
    return tuple(_cell([each for each in own if each.touches(month)], month, here=here, today=today) for month in months)


@dataclass(frozen=True, slots=True)
class _Told:
    """A record with the ends of its day."""

    fact: Fact
    first: date
    last: date

    def touches(self, month: Month) -> bool:
        return self.first <= month.last and month.first <= self.last

    def within(self, month: Month) -> bool:
        return month.first <= self.first and self.last <= month.last


def _sort(fact: Fact) -> str:
    """What a record can say of a month; empty for one that says nothing of looking at the unit."""
    kind = KINDS.get(fact.kind)
    if kind is None:
        return ""
    if kind.satisfies == "inspection":
        return "seen"
    if fact.kind == "not-done":
        return "tried" if fact.fields.get("duty", "inspection") == "inspection" else ""
    return "service" if kind.work else ""


def _cell(told: Sequence[_Told], month: Month, *, here: Callable[[Month], bool], today: date) -> MonthCell:
    sure = [each.fact for each in told if each.within(month)]
    for state in ("seen", "service", "tried"):
        some = tuple(fact for fact in sure if _sort(fact) == state)
        if some:
            return MonthCell(state=state, facts=some)
    perhaps = tuple(each.fact for each in told if not each.within(month) and _sort(each.fact) == "seen")
    if perhaps:
        return MonthCell(state="maybe", facts=perhaps)
    if not here(month):
        return MonthCell(state="absent")
    return MonthCell(state="open" if today <= month.last else "none")
