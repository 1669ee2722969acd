"""Work that is planned at a site, as items for a quote: what the due list asks for, and the deficiencies that stand open."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal import kinds
from pinseal.dates import PartialDate, span_for_people
from pinseal.records.unit import UnitState
from pinseal.rules.price_book import PriceBook, exact_si, percent_words
from pinseal.rules.quoting import ONE, Item, Quantity
from pinseal.rules.rows import Due
from pinseal.service.books import Deficiency
from pinseal.service.duelist import DueList

_NOW = ("withdraw", "overdue", "may be overdue", "due")
_STATE_WORDS = {
    "withdraw": "now, the unit is to be withdrawn",
    "overdue": "is overdue, was due",
    "may be overdue": "may be overdue, due",
    "due": "due",
    "ahead": "due",
}
REPLACES = ("replace-unit", "condemn")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """Items, and in sentences what is not among them, and why."""

    items: tuple[Item, ...]
    left_out: tuple[str, ...]


def planned_work(dues: DueList, deficiencies: Sequence[Deficiency], book: PriceBook, *, site: str, until: date | None = None) -> Planned:
    """What is to be done at a site: what is late or due on the day of the list, and up to `until` what comes next."""
    items: list[Item] = []
    left_out: list[str] = []
    here = [i for i, each in enumerate(dues.states) if each.site == site and not each.removed and not each.placeholder]
    for index in sorted(here, key=lambda i: by_number(dues.states[i])):
        state = dues.states[index]
        found = [each for each in deficiencies if each.unit == state.uid and each.is_open]
        made, out = _of_unit(state, dues.of_unit(index), found, book, until, dues.on)
        items += made
        left_out += out
    return Planned(items=tuple(items), left_out=tuple(left_out))


def by_number(state: UnitState) -> tuple[object, ...]:
    """The order of units on a paper: by their numbers as people count, 9 before 10; without a number last."""
    name = state.id or state.serial or ""
    parts = tuple((part.isdigit(), int(part) if part.isdigit() else 0, part.casefold()) for part in re.split(r"(\d{1,15})", name) if part)
    return not name, parts, state.uid or ""


def _of_unit(
    state: UnitState, rows: Sequence[Due], found: Sequence[Deficiency], book: PriceBook, until: date | None, today: date
) -> tuple[list[Item], list[str]]:
    wanted = [row for row in rows if _is_wanted(row, until)]
    name = state.id or state.serial or "unit without a number"
    if new := _new_unit(state, wanted, found, today):
        rest = sorted({kinds.DUTIES[row.duty] for row in wanted if row.duty != "retirement"})
        rest += [each.words for each in found if each.record != new.record]
        out = [f"{name}: {', '.join(rest)} not quoted, because another unit takes its place."] if rest else []
        return [new], out
    items = [*_duties(state, wanted, book), *repairs_of(state, found, today)]
    return items, [*_unknown(name, rows, book), *_declined(name, found)]


def _new_unit(state: UnitState, wanted: Iterable[Due], found: Sequence[Deficiency], today: date) -> Item | None:
    """A new unit, where this one is to be withdrawn or a finding says that it must be replaced."""
    for each in repairs_of(state, found, today):
        if each.service == "new-unit":
            return each
    ends = next((row for row in wanted if row.duty == "retirement"), None)
    return Item(service="new-unit", visit=state.uid or "", why=_because(ends), unit=state) if ends else None


def _is_wanted(row: Due, until: date | None) -> bool:
    return row.state in _NOW or (row.state == "ahead" and until is not None and row.earliest is not None and row.earliest <= until)


def _because(row: Due) -> str:
    """Why the work is planned: its state, its day, its clause."""
    when = f" by {span_for_people(row.earliest, row.latest)}" if row.earliest and row.latest else ""
    clause = f" ({row.governing.document}, {row.governing.clause})" if row.governing else ""
    return f"{kinds.DUTIES[row.duty]} {_STATE_WORDS[row.state]}{when}{clause}"


def _duties(state: UnitState, wanted: Iterable[Due], book: PriceBook) -> Iterator[Item]:
    reasons = {row.duty: _because(row) for row in wanted}
    yield from work_of(state, reasons, book, visit=state.uid or "")


def work_of(state: UnitState, reasons: dict[str, str], book: PriceBook, *, visit: str) -> Iterator[Item]:
    """Duties with their reasons as items, with what the book says goes along with them."""
    services = dict(reasons)
    waiting = list(services)
    while waiting:
        service = waiting.pop(0)
        for token in book.goes_with.get(service, ()):
            if token not in services:
                services[token] = f"goes with {service.replace('-', ' ')}"
                waiting.append(token.partition(":")[0])
    for token, why in services.items():
        service, _, thing = token.partition(":")
        if service != "agent":
            method = state.test_method if service == "hydrostatic-test" else None
            yield Item(service=service, visit=visit, why=why, unit=state, thing=thing, method=method, quantity=ONE)
    if "recharge" in services and book.agent_new_percent:
        share = f"{percent_words(book.agent_new_percent)} % of the charge on the nameplate, as the book plans"
        yield Item(service="agent", visit=visit, why=share, unit=state, quantity=planned_charge(state, book.agent_new_percent))


def planned_charge(state: UnitState, percent: Fraction) -> Quantity | None:
    """The new agent that a recharge is planned with; None where the nameplate does not say the charge."""
    size = state.nameplate.size
    if size is None:
        return None
    text = size.for_people() if percent == 100 else f"{percent_words(percent)} % of {size.for_people()}"
    return Quantity(exact=exact_si(size) * percent / 100, kind="mass" if size.dimension == "kg" else "volume", text=text)


def repairs_of(state: UnitState, found: Iterable[Deficiency], today: date) -> Iterator[Item]:
    """Open deficiencies: at the price that the owner was told, where it still holds; else at the book's."""
    for each in found:
        quote = each.quote
        if quote is not None and quote.answer == "declined":
            continue
        holds = quote is not None and quote.price is not None and not quote.ran_out(today)
        yield Item(
            service="new-unit" if each.action in REPLACES else "repair",
            visit=state.uid or "",
            why=f"{each.words}, found {each.found.for_people()}" + (f" ({each.clause})" if each.clause else ""),
            unit=state,
            record=each.record,
            thing="" if each.action in REPLACES else each.finding,
            told=quote.price if holds and quote else None,
            told_by=quote.record if holds and quote else "",
        )


def _unknown(name: str, rows: Iterable[Due], book: PriceBook) -> Iterator[str]:
    for row in rows:
        if row.state == "unknown" and row.duty not in book.not_offered:
            missing = f": {', '.join(row.missing)} not on record" if row.missing else ""
            yield f"{name}: {kinds.DUTIES[row.duty]} not quoted, because its day is not known{missing}."


def _declined(name: str, found: Iterable[Deficiency]) -> Iterator[str]:
    for each in found:
        if each.quote is not None and each.quote.answer == "declined":
            when = PartialDate.for_people(each.quote.answered) if each.quote.answered else "a day not said"
            yield f"{name}: {each.words} not quoted, because {each.quote.answered_by} declined it on {when}."
