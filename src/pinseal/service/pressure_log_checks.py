"""The instruments of a day of pressure tests: how each was checked on that day, and what speaks against tests that were read on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal import kinds
from pinseal.measures import parse_measure
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.registers import Instrument
from pinseal.rules.papers import instrument_standing
from pinseal.rules.requalification import Requalifier, cm3_exact
from pinseal.service.pressure_log_shapes import Apparatus, CheckEntry
from pinseal.standards.requalification import requalification

_APPARATUS = frozenset({"test-jacket", "test-gauge", "calibrated-cylinder", "master-gauge"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What every entry needs: the instruments by their names, the checks of each day, whose number is struck, the packs."""

    named: Mapping[str, Instrument]
    checks: Mapping[date, Sequence[CheckEntry]]
    requalifier: Requalifier | None
    packs: tuple[str, ...]
    owner_at: Callable[[str | None], str]


def by_name(instruments: Iterable[Instrument]) -> dict[str, Instrument]:
    """Instruments by each of their names, in small letters."""
    found: dict[str, Instrument] = {}
    for each in instruments:
        for name in (each.uid, each.serial, each.id):
            if name:
                found[name.strip().casefold()] = each
    return found


def checks_by_day(records: Iterable[Record], instruments: Sequence[Instrument], first: date, last: date) -> dict[date, list[CheckEntry]]:
    """The checks of test instruments on each day of the span, in the order in which they were written."""
    by_uid, people, lives = {each.uid: each for each in instruments}, dict[str, str](), dict[str, list[Record]]()
    for record in records:
        lives.setdefault(record.unit, []).append(record)
        people[record.uid] = record.person
    found: dict[date, list[CheckEntry]] = {}
    named = by_name(instruments)
    for uid, life in lives.items():
        tool = by_uid.get(uid)
        if tool is None or tool.what not in _APPARATUS:
            continue
        for fact in apply_corrections(distinct(life)[0])[0]:
            if fact.kind == "instrument-checked" and fact.done.precision == "day" and first <= fact.done.earliest <= last:
                found.setdefault(fact.done.earliest, []).append(_check(tool, fact, people[fact.uid], named))
    return {day: sorted(some, key=lambda each: each.record) for day, some in found.items()}


def _check(tool: Instrument, fact: Fact, operator: str, named: Mapping[str, Instrument]) -> CheckEntry:
    said = fact.fields
    total, permanent = said.get("total-expansion", ""), said.get("permanent-expansion", "")
    cylinder = named.get(said.get("against", "").strip().casefold())
    came_back = volume_of(total) - volume_of(permanent) if total and permanent else None
    elastic = "" if came_back is None or came_back < 0 else cm3_exact(came_back)
    known = {
        "cylinder-serial": (cylinder.serial or "") if cylinder else "",
        "pressure": said.get("check-pressure", ""),
        "total": total,
        "elastic": elastic,
        "permanent": permanent,
        "operator": operator,
    }
    asked = [name for name in requalification().records["calibration"].fields if name in known]
    of_gauge = set(requalification().records["omitted-by-proof"].fields) | {"cylinder-serial"}
    lacking = [name for name in asked if not known[name] and not (tool.what != "test-jacket" and name in of_gauge)]
    return CheckEntry(
        record=fact.uid,
        instrument=tool.id,
        what=kinds.INSTRUMENTS[tool.what or "test-gauge"],
        good=said["check"] == "good",
        against=said.get("against", ""),
        cylinder_serial=known["cylinder-serial"],
        certificate=said.get("certificate", ""),
        pressure=known["pressure"],
        certified=said.get("certified-expansion", ""),
        total=total,
        elastic=elastic,
        permanent=permanent,
        value=said.get("value", ""),
        operator=operator,
        missing=tuple(lacking),
    )


def volume_of(text: str) -> Fraction:
    """A recorded volume, exact [m3]."""
    return parse_measure("volume", text).exact


def apparatus(name: str, day: date, shop: Bench) -> Apparatus:
    """An instrument as it stood on a day, and what speaks against tests on it: a requalification asks for a check on that very day."""
    tool = shop.named.get(name.strip().casefold())
    standing = instrument_standing(tool, on=day, packs=shop.packs)
    if tool is None or not tool.what:
        return Apparatus(name=name, what="", standing=standing.because, against=f"{name} is not in the register of instruments")
    today = [each.good for each in shop.checks.get(day, ()) if each.instrument == tool.id]
    rule = requalification().markings["daily-check"].source.for_people()
    against = ""
    if not today:
        against = f"no check of {tool.id} on that day is on record, and each day of tests begins with one ({rule})"
    elif not all(today):
        against = f"a check of {tool.id} on that day was bad ({rule})"
    return Apparatus(name=tool.id, what=kinds.INSTRUMENTS[tool.what], standing=standing.because, against=against)
