"""Which readings on record are in doubt, because the instrument that they were taken on was not in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from pinseal.dates import PartialDate
from pinseal.records.corrections import Fact
from pinseal.records.record_kinds import KINDS
from pinseal.records.registers import Instrument
from pinseal.rules.calibration import Check, Doubt, Test, doubtful_tests
from pinseal.rules.papers import good_until


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading on record: of which unit, when, of what, and what was read, as it counts after corrections."""

    unit: str
    record: str
    done: PartialDate
    quantity: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtfulReading:
    """A reading to be looked at again. `reason`: bad-since, withdrawn, lapsed, found-bad, not-made-good, never-checked."""

    reading: Reading
    reason: str
    because: str


def readings_on(unit: str, facts: Iterable[Fact], names: frozenset[str]) -> Iterator[Reading]:
    """The readings of one unit that name an instrument, by any of its names in small letters."""
    for fact in facts:
        said = fact.fields
        if said.get("instrument", "").strip().casefold() in names and fact.kind in KINDS:
            quantity = said.get("quantity") or KINDS[fact.kind].label
            value = said.get("value") or said.get("pressure") or "no value on record"
            yield Reading(unit=unit, record=fact.uid, done=fact.done, quantity=quantity, value=value)


def doubtful_readings(
    instrument: Instrument, readings: Iterable[Reading], *, packs: Iterable[str], since: date | None = None, until: date | None = None
) -> tuple[DoubtfulReading, ...]:
    """The readings in doubt, by day. With `since`, all that may be of that day or later; else those that its checks do not cover.

    `until` leaves out what is of later days. A reading of which the day is not known is in doubt if it is on any of its days.
    """
    asked = sorted(readings, key=lambda each: (each.done.earliest, each.done.latest, each.record))
    asked = [each for each in asked if until is None or each.done.earliest <= until]
    if since is not None:
        words = f"{instrument.id} is not trusted since {since.isoformat()}"
        return tuple(DoubtfulReading(reading=each, reason="bad-since", because=words) for each in asked if each.done.latest >= since)
    doubts = _by_checks(instrument, asked, tuple(packs))
    found = (_withdrawn(instrument, each) or doubts.get(each.record) for each in asked)
    return tuple(
        DoubtfulReading(reading=each, reason=doubt[0], because=doubt[1]) for each, doubt in zip(asked, found, strict=True) if doubt
    )


def _withdrawn(instrument: Instrument, reading: Reading) -> tuple[str, str] | None:
    gone = instrument.withdrawn
    if gone is None or reading.done.earliest <= gone.since.latest:
        return None
    return "withdrawn", f"the instrument was withdrawn on {gone.since.for_people()}: {gone.reason}"


def _by_checks(instrument: Instrument, readings: Iterable[Reading], packs: tuple[str, ...]) -> dict[str, tuple[str, str]]:
    """Reason and sentence of each reading that the checks do not cover, by its record."""
    what = instrument.what
    checks, rules = [], dict[date, str]()
    for each in instrument.checks:
        if not each.good:
            checks.append(Check(instrument="", on=each.done.earliest, good=False))
        elif what is not None:
            end = good_until(each, what=what, packs=packs)
            checks.append(Check(instrument="", on=each.done.latest, good=True, until=end.last))
            rules[each.done.latest] = end.words
    days = {(each.record, day) for each in readings for day in (each.done.earliest, each.done.latest)}
    tests = [Test(id=record, instrument="", on=day) for record, day in sorted(days)]
    doubts: dict[str, Doubt] = {}
    for doubt in doubtful_tests(checks=checks, tests=tests, interval=None):
        doubts.setdefault(doubt.test.id, doubt)
    return {record: (doubt.reason, _with_rule(doubt, rules)) for record, doubt in doubts.items()}


def _with_rule(doubt: Doubt, rules: Mapping[date, str]) -> str:
    rule = rules.get(doubt.last_good) if doubt.last_good and doubt.reason == "lapsed" else None
    return f"{doubt.because}: {rule}" if rule else doubt.because
