"""What a unit comes to over the years ahead, and a new one in its place: the duties by the same clocks, priced by the same book."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState
from pinseal.rules.clocks import Basis
from pinseal.rules.columns import columns
from pinseal.rules.forecast import YEARS_MAX, forecast
from pinseal.rules.price_book import PriceBook
from pinseal.rules.quoting import Item, Unpriced, book_words, figures
from pinseal.rules.repair_or_replace import Cost, Side, Weighed, weigh
from pinseal.rules.rows import Due
from pinseal.service.books import Deficiency
from pinseal.service.planned_work import REPLACES, repairs_of, work_of
from pinseal.standards.model import Chosen

# What a unit that is made, sold and hung up on one day has on record.
_NEW = ("manufactured", "placed-in-service", "sold-and-tagged")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What both ways stand on: the packs, the day, the end of the span, how the year is counted, what is taken for granted, the book."""

    chosen: Sequence[Chosen]
    on: date
    years: int
    basis: Basis
    assume: Mapping[str, str]
    book: PriceBook
    site: str

    @property
    def end(self) -> date:
        return date(self.on.year + self.years, self.on.month, min(self.on.day, 28))


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitAnswer:
    """Whether to keep a unit, with the figures and what they take for granted."""

    unit: UnitState
    on: date
    end: date
    weighed: Weighed
    retires: date | None
    assumptions: tuple[str, ...]
    book: str

    def as_json(self) -> dict[str, Any]:
        return {
            "unit": {"uid": self.unit.uid, "id": self.unit.id, "serial": self.unit.serial},
            "on": self.on.isoformat(),
            "until": self.end.isoformat(),
            "retires": self.retires.isoformat() if self.retires else None,
            **self.weighed.as_json(),
            "assumptions": list(self.assumptions),
            "book": self.book,
        }


def repair_or_replace(
    state: UnitState, rows: Sequence[Due], deficiencies: Sequence[Deficiency], ground: Ground, *, condemned: str | None = None
) -> UnitAnswer:
    """Keep the unit, or hang a new one of its kind in its place, over the same years. Raises `Refusal` for a span that is too long."""
    if not 1 <= ground.years <= YEARS_MAX:
        raise Refusal(
            what="this span cannot be counted", rule=f"1 to {YEARS_MAX} years", got=str(ground.years), do="say --years 12, for example"
        )
    open_ones = [each for each in deficiencies if each.unit == state.uid and each.is_open]
    old = list(_life(state, ground, ground.on))
    retires = next((day for duty, day in old if duty == "retirement"), None)
    repairs = list(repairs_of(state, open_ones, ground.on))
    keep = _side(ground, [(ground.on, item) for item in repairs], _priced(state, ground, old), _unknowns(rows, ground.book))
    bought = [(ground.on, _new_unit(state, "bought now"))]
    new = _side(ground, bought, _priced(state, ground, list(_life(_fresh(state, ground.on), ground, ground.on, new=True))))
    weighed = weigh(keep, new, margin_percent=ground.book.margin_percent, must_go=_must_go(rows, open_ones, condemned))
    return UnitAnswer(
        unit=state,
        on=ground.on,
        end=ground.end,
        weighed=weighed,
        retires=retires,
        assumptions=_assumptions(ground, retires),
        book=book_words(ground.book),
    )


def _fresh(state: UnitState, on: date) -> UnitState:
    """A new unit of the same nameplate, made, sold and hung up on a day."""
    return replace(state, dates=dict.fromkeys(_NEW, PartialDate.of(on)), set_by={}, test_method=None, removed=None, placeholder=False)


def _life(state: UnitState, ground: Ground, start: date, *, new: bool = False) -> Iterator[tuple[str, date]]:
    """The duties of a unit with their days up to the end of the span; where it retires a new one takes its place.

    A new one that would have to be retired on the day on which it is bought ends the row.
    """
    years = min(max(ground.end.year - start.year, 0) + 1, YEARS_MAX)
    fleet = columns([state], ground.assume)
    jobs = sorted((job.on, job.duty) for job in forecast(fleet, ground.chosen, start, years=years, basis=ground.basis))
    for on, duty in jobs:
        if on > ground.end:
            return
        yield duty, on
        if duty == "retirement":
            if on < ground.end and not (new and on == start):
                yield from _life(_fresh(state, on), ground, on, new=True)
            return


def _priced(state: UnitState, ground: Ground, life: Sequence[tuple[str, date]]) -> list[tuple[date, Item]]:
    """The work of a life as items; what falls on one day is one visit to the unit."""
    found: list[tuple[date, Item]] = []
    for on in sorted({on for _, on in life}):
        duties = [duty for duty, day in life if day == on]
        if "retirement" in duties:
            found.append((on, _new_unit(state, "the old one is retired")))
            duties = [duty for duty in duties if duty != "retirement"]
        reasons = {duty: f"{kinds.DUTIES[duty]} due" for duty in duties}
        found += [(on, item) for item in work_of(state, reasons, ground.book, visit=on.isoformat())]
    return found


def _new_unit(state: UnitState, why: str) -> Item:
    return Item(service="new-unit", visit="", why=why, unit=state)


def _side(ground: Ground, first: Sequence[tuple[date, Item]], then: Sequence[tuple[date, Item]], unknown: Sequence[str] = ()) -> Side:
    both = [*first, *then]
    days = sorted({on for on, _ in both})
    costs: list[Cost] = []
    unpriced: list[Unpriced] = []
    for day in days:
        made = figures(ground.book, [item for on, item in both if on == day], site=ground.site, visit=False)
        costs += [Cost(on=day, line=line) for line in made.lines if line.amount.minor]
        unpriced += made.unpriced
    return Side(currency=ground.book.currency, costs=tuple(costs), unpriced=tuple(unpriced), unknown=tuple(unknown))


def _unknowns(rows: Sequence[Due], book: PriceBook) -> list[str]:
    """Duties whose days are not known, so that their costs are not in the sum."""
    return [
        f"{kinds.DUTIES[row.duty]}: its day is not known" + (f" ({', '.join(row.missing)} not on record)" if row.missing else "")
        for row in rows
        if row.state == "unknown" and row.duty != "inspection" and row.duty not in book.not_offered
    ]


def _must_go(rows: Sequence[Due], open_ones: Sequence[Deficiency], condemned: str | None) -> list[str]:
    """Reasons for which the unit may not be kept, whatever it costs."""
    gone = [row for row in rows if row.duty == "retirement" and row.state in ("withdraw", "overdue")]
    reasons = [f"the shell is condemned: {condemned}"] if condemned else []
    reasons += [row.because[0] if row.because else "its retirement is overdue" for row in gone]
    return [*reasons, *(f"a finding takes it out of use: {each.words}" for each in open_ones if each.action in REPLACES)]


def _assumptions(ground: Ground, retires: date | None) -> tuple[str, ...]:
    until = PartialDate.of(ground.end).for_people()
    found = [
        f"Both ways are counted from {PartialDate.of(ground.on).for_people()} to {until}, at today's prices, without interest.",
        "Each duty is done on its due day. Monthly inspections, travel and tax are the same either way and are not counted.",
        "The new unit is one of the same kind and size, made and hung up today, under the same rules.",
        "What a unit is worth after that day is not counted.",
    ]
    if retires is not None:
        found.append(f"The unit is to be retired by {PartialDate.of(retires).for_people()}; then a new one is bought.")
    return tuple(found)
