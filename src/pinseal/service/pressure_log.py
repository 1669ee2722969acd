"""Gathers the log of pressure tests by day from records, and holds each test against the rules of its day."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Protocol

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date
from pinseal.measures import PSI_PA, parse_pressure
from pinseal.reasons import Refusal
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.fold import fold, is_unit
from pinseal.records.record import Record, distinct
from pinseal.records.registers import Instrument
from pinseal.records.unit import UnitState
from pinseal.rules.requalification import Requalifier, TestOnRecord, Weighed, cm3_exact, exact_words, stamp_of, weigh
from pinseal.service.pressure_log_checks import Bench, apparatus, by_name, checks_by_day, volume_of
from pinseal.service.pressure_log_shapes import OtherTest, TestDay, TestEntry, TestLog
from pinseal.standards.requalification import requalification

# What makes a day of the log, and what a correction may have moved into it or out of it.
LOG_KINDS = ("tested", "hose-tested", "expellant-cylinder-tested", "corrected")
_OTHERS = {"hose-tested": "hose", "expellant-cylinder-tested": "expellant gas cylinder"}
# What the record of a cylinder with a specification says, and the record of a shell without one need not.
_OF_CYLINDERS = frozenset({"marked-pressure", "dimensions", "symbol"})
_OTHER_SHELL = "shell-exchanged"


class LogKeeper(Protocol):
    """What the log asks of a shop; names are veiled already."""

    def of_kinds(self, codes: Sequence[str]) -> list[Record]: ...
    def lives(self, units: Sequence[str]) -> Mapping[str, list[Record]]: ...
    def instruments(self) -> list[Instrument]: ...
    def instrument_records(self) -> list[Record]: ...


def log_of_tests(
    keeper: LogKeeper,
    *,
    first: date,
    last: date,
    requalifier: Requalifier | None,
    packs: Iterable[str],
    owner_at: Callable[[str | None], str],
) -> TestLog:
    """The log of a span of days; `owner_at` gives the owner and the address of a site.

    Raises `Refusal` for a span that ends before it begins.
    """
    if last < first:
        raise Refusal(
            what="this span ends before it begins",
            rule="a log runs from a day to the same day or a later one",
            got=f"{first.isoformat()} to {last.isoformat()}",
            do="exchange the two days",
        )
    instruments = keeper.instruments()
    shop = Bench(
        named=by_name(instruments),
        checks=checks_by_day(keeper.instrument_records(), instruments, first, last),
        requalifier=requalifier,
        packs=tuple(packs),
        owner_at=owner_at,
    )
    lives = keeper.lives(_units_tested(keeper.of_kinds(LOG_KINDS), first, last))
    entries: dict[date, list[TestEntry | OtherTest]] = {}
    undated: list[str] = []
    for life in lives.values():
        if is_unit(life):
            _take_life(life, shop, entries, undated, span=(first, last))
    days = sorted({*entries, *shop.checks})
    return TestLog(
        first=first,
        last=last,
        days=tuple(_day(day, entries.get(day, []), shop) for day in days),
        undated=tuple(sorted(undated)),
        requalifier=requalifier,
    )


def _units_tested(records: Iterable[Record], first: date, last: date) -> list[str]:
    """The units with a test that may be of these days, corrections applied."""
    by_unit: dict[str, list[Record]] = {}
    for record in records:
        by_unit.setdefault(record.unit, []).append(record)
    found = []
    for unit, some in by_unit.items():
        facts = apply_corrections(distinct(some)[0])[0]
        if any(_overlaps(fact.done, first, last) for fact in facts):
            found.append(unit)
    return found


def _overlaps(done: PartialDate, first: date, last: date) -> bool:
    return done.earliest <= last and first <= done.latest


# -- the tests of one unit


def _take_life(
    life: Sequence[Record],
    shop: Bench,
    entries: dict[date, list[TestEntry | OtherTest]],
    undated: list[str],
    *,
    span: tuple[date, date],
) -> None:
    people = {record.uid: record.person for record in life}
    facts = apply_corrections(distinct(life)[0])[0]
    for fact in facts:
        if fact.kind not in LOG_KINDS or not _overlaps(fact.done, *span):
            continue
        state = state_at(life, fact)
        if fact.done.precision != "day":
            undated.append(f"{_name(state)}: {_method_words(fact)}, {fact.done.for_people()}")
        elif fact.kind == "tested":
            entry = _entry(fact, state, people[fact.uid], facts, shop)
            entries.setdefault(fact.done.earliest, []).append(entry)
        else:
            entries.setdefault(fact.done.earliest, []).append(_other(fact, state, people[fact.uid]))


def state_at(life: Sequence[Record], fact: Fact) -> UnitState:
    """The unit as it stood when it was tested: without the shell that took the place of the tested one that very day."""
    kept = [each for each in life if each.kind != _OTHER_SHELL or (each.done.latest, each.done.earliest, each.uid) < fact.order]
    return fold(kept, fact.done.latest).state


def _name(state: UnitState) -> str:
    return state.id or state.serial or "unit without a number"


def _method_words(fact: Fact) -> str:
    if fact.kind != "tested":
        return f"test of the {_OTHERS[fact.kind]}"
    return kinds.TEST_METHODS.get(fact.fields.get("method", ""), "pressure test, method not on record")


def _other(fact: Fact, state: UnitState, operator: str) -> OtherTest:
    said = fact.fields
    return OtherTest(
        record=fact.uid,
        name=_name(state),
        what=_OTHERS[fact.kind],
        pressure=said.get("pressure", ""),
        held=said.get("held", ""),
        passed=said.get("result", "pass") == "pass",
        found=said.get("found", ""),
        operator=_with_helper(operator, said),
        instrument=said.get("instrument", ""),
    )


def _with_helper(operator: str, said: Mapping[str, str]) -> str:
    return f"{operator}, with {said['helper']}" if said.get("helper") else operator


def on_record(fact: Fact, state: UnitState) -> TestOnRecord:
    """A record of a pressure test as the rules weigh it; `state` is the unit as it stood then."""
    said = fact.fields
    return TestOnRecord(
        on=fact.done.earliest,
        passed=said.get("result", "pass") == "pass",
        method=said.get("method") or None,
        specification=said.get("specification") or state.nameplate.cylinder_specification,
        pressure_pa=_pressure(said.get("pressure")),
        total_m3=volume_of(said["total-expansion"]) if "total-expansion" in said else None,
        permanent_m3=volume_of(said["permanent-expansion"]) if "permanent-expansion" in said else None,
        factory_pa=_pressure(state.nameplate.test_pressure),
    )


def _pressure(text: str | None) -> Fraction | None:
    return parse_pressure(text).exact if text else None


def _entry(fact: Fact, state: UnitState, operator: str, facts: Sequence[Fact], shop: Bench) -> TestEntry:
    said, test = fact.fields, on_record(fact, state)
    weighed, gone = weigh(test), _condemned(fact, facts)
    instrument = said.get("instrument", "")
    against = "which instrument it was read on is not on record"
    if instrument:
        against = apparatus(instrument, test.on, shop).against
    stamp, why = stamp_of(test, weighed, shop.requalifier, against)
    omitted = tuple(requalification().records["omitted-by-proof"].fields) if test.method == "proof-pressure" else ()
    disposition, must = _disposition(test, weighed, gone)
    reasons = tuple(_reasons(fact, facts, weighed, gone))
    values = _values(fact, state, facts, test, weighed) | {
        "disposition": disposition,
        "reason": "; ".join(reasons),
        "operator": _with_helper(operator, said),
    }
    spared = {*omitted, *(() if not test.passed or said.get("earlier") else ("reason",))}
    spared |= _OF_CYLINDERS if weighed.marking is None and test.specification else set()
    missing = tuple(name for name in requalification().records["test"].fields if not values.get(name) and name not in spared)
    return TestEntry(
        record=fact.uid,
        unit=state.uid or "",
        name=_name(state),
        owner=_owner(state, shop),
        method=test.method or "",
        passed=test.passed,
        values={name: text for name, text in values.items() if name not in omitted},
        omitted=omitted,
        missing=missing,
        made=state.dates["manufactured"].for_people() if "manufactured" in state.dates else "",
        held=said.get("held", ""),
        limit=_limit_words(test, weighed),
        instrument=instrument,
        reasons=reasons,
        against=weighed.against,
        stamp=stamp,
        why_no_stamp=why,
        must=must,
        told=_told(gone) if gone else "",
    )


def _told(gone: Fact) -> str:
    """Who was told of the condemning, and when."""
    day = gone.fields.get("told-on")
    return ", ".join(part for part in (gone.fields.get("told", ""), parse_date(day).for_people() if day else "") if part)


def _owner(state: UnitState, shop: Bench) -> str:
    """Whose it is, where the address book says so, and where it belongs."""
    where = ", ".join(part for part in (state.site, state.place) if part)
    owner = shop.owner_at(state.site)
    return f"{owner} ({where})" if owner else where


def _limit_words(test: TestOnRecord, weighed: Weighed) -> str:
    if test.method == "proof-pressure":
        return "no leak, no lost shape"
    return f"{exact_words(weighed.limit.percent)} %" if weighed.limit else ""


def _values(fact: Fact, state: UnitState, facts: Sequence[Fact], test: TestOnRecord, weighed: Weighed) -> dict[str, str]:
    """The fields of the record of the day, as far as they are on record."""
    said, grown = fact.fields, weighed.expansion
    return {
        "date": test.on.isoformat(),
        "serial": state.serial or "",
        "specification": test.specification or "",
        "marked-pressure": _marked_pressure(state, weighed),
        "dimensions": said.get("dimensions", ""),
        "symbol": said.get("symbol", ""),
        "visual": _visual(fact, facts),
        "pressure": said.get("pressure", ""),
        "total": said.get("total-expansion", ""),
        "elastic": cm3_exact(grown.elastic_m3) if grown else "",
        "permanent": said.get("permanent-expansion", ""),
        "percent": f"{weighed.percent_words} %" if grown else f"{said['percent']} % as recorded" if "percent" in said else "",
    }


def _marked_pressure(state: UnitState, weighed: Weighed) -> str:
    if weighed.marking is not None and weighed.marking.service_pa is not None:
        return f"{exact_words(weighed.marking.service_pa / PSI_PA)} psi"
    return state.nameplate.service_pressure or ""


def _visual(fact: Fact, facts: Sequence[Fact]) -> str:
    """What was written of the look inside and outside; else the examination inside of the same day."""
    if fact.fields.get("visual"):
        return fact.fields["visual"]
    for other in facts:
        if other.kind == "opened" and other.done == fact.done and other.fields.get("sheet") == fact.fields.get("sheet"):
            return f"examined inside: {other.fields.get('found') or 'nothing found'}"
    return ""


def _condemned(fact: Fact, facts: Sequence[Fact]) -> Fact | None:
    """The record that condemned the shell after this test and before another shell or another test."""
    if fact.fields.get("result", "pass") == "pass":
        return None
    for other in facts:
        if other.order > fact.order and other.kind in ("condemned", _OTHER_SHELL, "tested"):
            return other if other.kind == "condemned" else None
    return None


def _disposition(test: TestOnRecord, weighed: Weighed, gone: Fact | None) -> tuple[str, str]:
    """What became of it, and the telling that the owner is owed."""
    if test.passed:
        return ("recorded as passed: look again", "") if weighed.against else ("passed", "")
    if gone is not None:
        return f"condemned on {gone.done.for_people()}", "condemned" if weighed.marking else "shell"
    if weighed.over_limit:
        return "failed: must be condemned", "condemned"
    return "failed", "rejected" if weighed.marking else "shell"


def _reasons(fact: Fact, facts: Sequence[Fact], weighed: Weighed, gone: Fact | None) -> Iterator[str]:
    """Why: what was found, what the reading said, what the condemning record says, and what speaks against the record."""
    said = fact.fields
    yield from dict.fromkeys(text for name in ("found", "reason") if (text := said.get(name)))
    if weighed.over_limit and weighed.limit is not None and said.get("result") == "fail":
        yield f"{weighed.percent_words} % exceeds {exact_words(weighed.limit.percent)} % ({weighed.limit.source.for_people()})"
    if gone is not None and (why := gone.fields.get("reason")) and why != said.get("found"):
        yield why
    if "earlier" in said:
        yield f"repeats the test of {parse_date(said['earlier']).for_people()}, which did not hold its pressure"
    same_day = [each for each in facts if each.kind == "tested" and each.done == fact.done and each.order < fact.order]
    if same_day and "earlier" not in said:
        yield "tested before on the same day"
    yield from weighed.against


# -- a day


def _day(on: date, entries: Sequence[TestEntry | OtherTest], shop: Bench) -> TestDay:
    tests = sorted((each for each in entries if isinstance(each, TestEntry)), key=lambda each: each.record)
    others = sorted((each for each in entries if isinstance(each, OtherTest)), key=lambda each: each.record)
    used = dict.fromkeys(name for name in (*(each.instrument for each in tests), *(each.instrument for each in others)) if name)
    of_stamped = {each.instrument for each in tests if each.is_stamped}
    tools = (apparatus(name, on, shop) for name in used)
    return TestDay(
        on=on,
        checks=tuple(shop.checks.get(on, ())),
        apparatus=tuple(tool if name in of_stamped else replace(tool, against="") for name, tool in zip(used, tools, strict=True)),
        tests=tuple(tests),
        others=tuple(others),
    )
