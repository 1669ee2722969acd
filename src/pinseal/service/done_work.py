"""Work that was done at a site on some days, as items for invoice figures: only what is on record, with the agent that was really used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from pinseal import kinds
from pinseal.measures import LB_KG, parse_measure
from pinseal.records.corrections import Fact
from pinseal.records.fold import Unit
from pinseal.records.record import Record
from pinseal.rules.price_book import PriceBook
from pinseal.rules.quoting import Item, Quantity, same_work_once
from pinseal.service.books import Deficiency
from pinseal.service.planned_work import by_number

_SERVICES: Mapping[str, str] = {
    "inspected": "inspection",
    "maintained": "maintenance",
    "opened": "internal-examination",
    "tested": "hydrostatic-test",
    "recharged": "recharge",
    "hose-tested": "hose-test",
    "conductivity-tested": "conductivity-test",
    "agent-renewed": "agent-renewal",
    "expellant-cylinder-tested": "expellant-cylinder-test",
    "regulator-tested": "regulator-test",
    "part-fitted": "part",
    "marked": "mark",
    "remedied": "repair",
}
DONE_KINDS = (*_SERVICES, "agent-taken-out", "corrected")
_FILLED = ("recharged", "agent-renewed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """Items, and in sentences what is not among them, and why."""

    items: tuple[Item, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The first and the last day of a visit, and who works for the shop (empty: the register of people is empty, and everybody counts)."""

    first: date
    last: date
    people: frozenset[str] = frozenset()

    def holds(self, fact: Fact) -> bool:
        return fact.done.precision == "day" and self.first <= fact.done.earliest <= self.last

    def perhaps_holds(self, fact: Fact) -> bool:
        return fact.done.precision != "day" and fact.done.earliest <= self.last and self.first <= fact.done.latest


def done_work(
    units: Iterable[tuple[Unit, Sequence[Record]]], deficiencies: Sequence[Deficiency], book: PriceBook, *, site: str, days: Days
) -> Done:
    """What was done at a site. Each unit comes as it stood on the last day, with its records."""
    items: list[Item] = []
    left_out: list[str] = []
    here = ((unit, records) for unit, records in units if unit.state.site == site)
    for unit, records in sorted(here, key=lambda pair: by_number(pair[0].state)):
        people = {record.uid: record.person for record in records}
        own = [each for each in deficiencies if each.unit == unit.state.uid]
        for fact in unit.facts:
            if fact.kind not in _SERVICES:
                continue
            why_not = _why_not(fact, people[fact.uid], book, days)
            if why_not is None:
                items += _items(unit, fact, people[fact.uid], own, book)
            elif why_not:
                left_out.append(f"{unit.state.id or unit.state.serial or unit.state.uid}: {_words(fact)} not billed, because {why_not}.")
    once, twice = same_work_once(items)
    return Done(items=tuple(once), left_out=(*_told_once(left_out), *twice))


def _told_once(sentences: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(sentences))


def _words(fact: Fact) -> str:
    return _SERVICES[fact.kind].replace("-", " ")


def _why_not(fact: Fact, person: str, book: PriceBook, days: Days) -> str | None:
    """Why a record is not billed: None where it is, empty where it is of other days and nothing need be said."""
    if days.perhaps_holds(fact):
        return f"its day is only known as {fact.done.for_people()}"
    if not days.holds(fact):
        return ""
    if _SERVICES[fact.kind] in book.not_offered:
        return ""  # the terms say so once
    if days.people and person not in days.people:
        return f"{person} is not in the shop's register of people"
    if fact.fields.get("result") == "fail" and not book.failed_tests_billed:
        return "the test was failed, and the book does not bill that"
    return None


def _items(unit: Unit, fact: Fact, person: str, deficiencies: Sequence[Deficiency], book: PriceBook) -> Iterator[Item]:
    said = fact.fields
    item = Item(
        service=_SERVICES[fact.kind],
        visit=f"{unit.state.uid} {fact.done}",
        why=f"done {fact.done.for_people()} by {person}",
        unit=unit.state,
        record=fact.uid,
        method=said.get("method"),
        agent=said.get("agent"),
    )
    if fact.kind == "part-fitted":
        count = int(said.get("count") or 1)
        item = replace(item, thing=said["part"], quantity=Quantity(exact=Fraction(count), kind="pieces", text=str(count)))
    elif fact.kind == "marked":
        item = replace(item, thing=said["mark"])
    elif fact.kind == "remedied":
        item = _remedy(item, fact, deficiencies)
    yield item
    if fact.kind in _FILLED and _is_the_filling(unit, fact):
        yield replace(item, service="agent", **_used(unit, fact, book))  # type: ignore[arg-type]


def _remedy(item: Item, fact: Fact, deficiencies: Sequence[Deficiency]) -> Item:
    """A mending at the price that the owner agreed to, where one was agreed; else at the book's."""
    mended = next((each for each in deficiencies if each.mended_by == fact.uid), None)
    item = replace(item, thing=fact.fields["finding"], why=f"{fact.fields.get('how', 'put right')}; {item.why}")
    quote = mended.quote if mended else None
    if quote is None or quote.answer != "agreed" or quote.price is None:
        return item
    return replace(item, told=quote.price, told_by=quote.record, why=f"{item.why}; agreed by {quote.answered_by}")


def _used(unit: Unit, fact: Fact, book: PriceBook) -> dict[str, object]:
    """The agent that a filling used: what went in, less what came out of this unit that day and went back, unless the book bills that."""
    mass = fact.fields.get("mass")
    if mass is None:
        return {"quantity": None}
    exact = parse_measure("mass", mass).exact
    back = Fraction(0) if book.agent_put_back_billed else _put_back(unit, fact)
    used = max(exact - back, Fraction(0))
    text = mass if not back else f"{mass} filled in, {_in_unit_of(mass, back)} of it put back: {_in_unit_of(mass, used)}"
    return {"quantity": Quantity(exact=used, kind="mass", text=text)}


def _is_the_filling(unit: Unit, fact: Fact) -> bool:
    """A filling that also renewed the agent is on record as both: its agent is billed once, by the one that says how much."""
    others = [each for each in unit.facts if each.kind in _FILLED and each.kind != fact.kind and each.done == fact.done]
    if not others:
        return True
    if bool(fact.fields.get("mass")) != any(each.fields.get("mass") for each in others):
        return bool(fact.fields.get("mass"))
    return fact.kind == "recharged"


def _put_back(unit: Unit, fact: Fact) -> Fraction:
    """Only the first filling of the day counts what was put back, so that it is not taken off twice."""
    first = next(each for each in unit.facts if each.kind in _FILLED and each.done == fact.done and _is_the_filling(unit, each))
    if first.uid != fact.uid:
        return Fraction(0)
    out = (each for each in unit.facts if each.kind == "agent-taken-out" and each.done == fact.done)
    own = (each.fields for each in out if each.fields.get("went-to") == "returned-to-unit" and each.fields.get("mass"))
    return sum((parse_measure("mass", said["mass"]).exact for said in own), Fraction(0))


def _in_unit_of(text: str, kg: Fraction) -> str:
    """A mass in pounds where the text says pounds, else in kilograms."""
    value, unit = (kg / LB_KG, "lb") if any(word in text.casefold() for word in ("lb", "pound", "#", "oz")) else (kg, "kg")
    return f"{float(value):.3f}".rstrip("0").rstrip(".") + f" {unit}"


def kinds_of_work() -> tuple[str, ...]:
    """The kinds of record that can be billed."""
    return tuple(_SERVICES)


assert set(_SERVICES.values()) >= set(kinds.DUTIES) - {"retirement"}, "every duty that is work can be billed"
