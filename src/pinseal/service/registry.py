"""The registers of a shop at work: instruments and their checks, people and their papers, readings that come into doubt."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol, TypeVar

from pinseal.dates import PartialDate
from pinseal.measures import parse_measure, parse_pressure
from pinseal.reasons import Refusal
from pinseal.records.corrections import apply_corrections
from pinseal.records.record import Draft, Record, distinct
from pinseal.records.registers import Instrument, InstrumentCheck, Person
from pinseal.records.unit import UnitState
from pinseal.rules.doubt import DoubtfulReading, Reading, doubtful_readings, readings_on
from pinseal.rules.papers import Standing, instrument_standing, last_good, person_standing
from pinseal.service.office import Writer

Subject = TypeVar("Subject", Instrument, Person)


class RegisterKeeper(Protocol):
    """What the registers need of a shop's store."""

    def instruments(self) -> list[Instrument]: ...
    def people(self) -> list[Person]: ...
    def records(self, unit: str | None = None) -> list[Record]: ...
    def units_read_on(self, names: Iterable[str]) -> list[str]: ...
    def find(self, text: str) -> list[UnitState]: ...
    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who writes: the person and the device, and the day of the deed; None is today in the shop."""

    person: str | None
    device: str
    on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedInstrument:
    """One instrument with its last good check and how it stands on the day asked."""

    instrument: Instrument
    last_good: InstrumentCheck | None
    standing: Standing

    def as_json(self) -> dict[str, Any]:
        found, last, gone = self.instrument, self.last_good, self.instrument.withdrawn
        return {
            "uid": found.uid,
            "id": found.id,
            "what": found.what,
            "serial": found.serial,
            "range": found.range_text,
            "resolution": found.resolution,
            "uncertainty": found.uncertainty,
            "accuracy_percent": found.accuracy_percent,
            "last_good_check": str(last.done) if last else None,
            "standing": self.standing.as_json(),
            "withdrawn": {"since": str(gone.since), "reason": gone.reason} if gone else None,
            "checks": [_check_json(check) for check in found.checks],
            "marks": [{"record": mark.record, "text": mark.text} for mark in found.marks],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPerson:
    """One person with how their papers stand on the day asked: for work, and for a mark."""

    person: Person
    work: Standing
    mark: Standing

    def as_json(self) -> dict[str, Any]:
        found = self.person
        papers = [
            {
                "paper": paper.paper,
                "class": paper.class_,
                "number": paper.number,
                "issued_by": paper.issued_by,
                "jurisdiction": paper.jurisdiction,
                "from": paper.from_day.isoformat() if paper.from_day else None,
                "until": paper.until.isoformat() if paper.until else None,
                "ended": {"since": str(paper.ended.since), "reason": paper.ended.reason} if paper.ended else None,
            }
            for paper in found.papers
        ]
        said = {"uid": found.uid, "id": found.id, "name": found.name, "role": found.role, "papers": papers}
        return {**said, "work": self.work.as_json(), "mark": self.mark.as_json()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubted:
    """The readings of one instrument: how many there are, and those in doubt, each with its unit."""

    instrument: Instrument
    readings: int
    found: tuple[tuple[UnitState | None, DoubtfulReading], ...]

    @property
    def units(self) -> int:
        return len({each.reading.unit for _, each in self.found})


def _check_json(check: InstrumentCheck) -> dict[str, Any]:
    return {
        "date": str(check.done),
        "result": "good" if check.good else "bad",
        "against": check.against,
        "certificate": check.certificate,
        "until": check.until.isoformat() if check.until else None,
        "value": check.value,
        "record": check.record,
    }


def listed_instrument(instrument: Instrument, *, on: date, packs: Sequence[str]) -> ListedInstrument:
    standing = instrument_standing(instrument, on=on, packs=packs)
    return ListedInstrument(instrument=instrument, last_good=last_good(instrument, on=on), standing=standing)


def listed_person(person: Person, *, on: date, packs: Sequence[str]) -> ListedPerson:
    work, mark = (person_standing(person, on=on, packs=packs, mark=mark) for mark in (False, True))
    return ListedPerson(person=person, work=work, mark=mark)


def find_instrument(instruments: Sequence[Instrument], text: str) -> Instrument:
    """The one instrument of an id or uid, letter case aside. Raises `Refusal` for none, and for several."""
    key = text.strip().casefold()
    found = [each for each in instruments if key in {name.casefold() for name in (each.id, each.uid) if name}]
    known = ", ".join(each.id or each.uid for each in instruments) or "none yet"
    return _the_one(found, text, what="instrument", known=known, name=lambda each: f"{each.what} {each.uid}")


def find_person(people: Sequence[Person], text: str) -> Person:
    """The one person of a name, id or uid, letter case aside. Raises `Refusal` for none, and for several."""
    key = text.strip().casefold()
    found = [each for each in people if key in {name.casefold() for name in (each.name, each.id, each.uid) if name}]
    known = ", ".join(each.name or each.uid for each in people) or "nobody yet"
    return _the_one(found, text, what="person", known=known, name=lambda each: f"{each.name} {each.id or each.uid}")


def _the_one(found: Sequence[Subject], text: str, *, what: str, known: str, name: Callable[[Subject], str]) -> Subject:
    if len(found) == 1:
        return found[0]
    if not found:
        raise Refusal(what=f"there is no such {what} in the register", rule=f"the register has {known}", got=text, do="check the name")
    candidates = "; ".join(name(each) for each in found)
    raise Refusal(what=f"{len(found)} entries fit", rule=f"the name must mean one {what}", got=f"{text}: {candidates}", do="use the uid")


def add_instrument(keeper: RegisterKeeper, writer: Writer, *, done: date, fields: Mapping[str, str]) -> Instrument:
    """Put an instrument into the register. Raises `Refusal` for an id that is taken, an unknown kind, a step without its unit."""
    _check_step(fields)
    _check_free(fields.get("id", ""), [(each.id, each.uid) for each in keeper.instruments()], what="instrument")
    return _wrote(keeper.instruments, _write(keeper, writer, "instrument-registered", writer.new_uid(), done, fields))


def check_instrument(keeper: RegisterKeeper, writer: Writer, name: str, *, done: date, fields: Mapping[str, str]) -> Instrument:
    """Record a comparison. Raises `Refusal` for an unknown instrument and for a paper that ended before the check."""
    subject = find_instrument(keeper.instruments(), name)
    _check_order(done.isoformat(), fields.get("until"), what="the check")
    return _wrote(keeper.instruments, _write(keeper, writer, "instrument-checked", subject.uid, done, fields))


def withdraw_instrument(keeper: RegisterKeeper, writer: Writer, name: str, *, done: date, fields: Mapping[str, str]) -> Instrument:
    """Record that an instrument is not used any more. Raises `Refusal`."""
    subject = find_instrument(keeper.instruments(), name)
    return _wrote(keeper.instruments, _write(keeper, writer, "instrument-withdrawn", subject.uid, done, fields))


def add_person(keeper: RegisterKeeper, writer: Writer, *, done: date, fields: Mapping[str, str]) -> Person:
    """Put a person into the register. Raises `Refusal` for a name or an id that is taken."""
    people = keeper.people()
    for name in (fields.get("name", ""), fields.get("id", "")):
        _check_free(name, [(known, each.uid) for each in people for known in (each.name, each.id or "")], what="person")
    return _wrote(keeper.people, _write(keeper, writer, "person-registered", writer.new_uid(), done, fields))


def give_paper(keeper: RegisterKeeper, writer: Writer, name: str, *, done: date, fields: Mapping[str, str]) -> Person:
    """Record a paper of a person. Raises `Refusal` for an unknown person and for a paper that ends before it begins."""
    subject = find_person(keeper.people(), name)
    _check_order(fields.get("from"), fields.get("until"), what="its first day")
    return _wrote(keeper.people, _write(keeper, writer, "paper-held", subject.uid, done, fields))


def end_paper(keeper: RegisterKeeper, writer: Writer, name: str, *, done: date, fields: Mapping[str, str]) -> Person:
    """Record that a paper does not count any more. Raises `Refusal` for a number that no paper of that person has."""
    subject = find_person(keeper.people(), name)
    numbers = [paper.number for paper in subject.papers if paper.number]
    if fields["number"].strip().casefold() not in {number.casefold() for number in numbers}:
        known = f"the numbers on record are {', '.join(numbers) or 'none'}"
        raise Refusal(what=f"{subject.name} has no paper of this number", rule=known, got=fields["number"], do="check the number")
    return _wrote(keeper.people, _write(keeper, writer, "paper-ended", subject.uid, done, fields))


def doubt(keeper: RegisterKeeper, name: str, *, packs: Sequence[str], since: date | None = None, until: date | None = None) -> Doubted:
    """Every reading on record that an instrument puts in doubt, each with its unit as it stands now.

    Raises `Refusal` for a name that neither the register nor any reading knows.
    """
    registered = keeper.instruments()
    known = any(name.strip().casefold() in (each.id.casefold(), each.uid) for each in registered)
    instrument = find_instrument(registered, name) if known else Instrument(uid="", id=name.strip())
    names = frozenset(text.casefold() for text in (instrument.id, instrument.uid) if text)
    readings = [reading for unit in keeper.units_read_on(names) for reading in _readings(keeper, unit, names)]
    if not known and not readings:
        find_instrument(registered, name)
    found = doubtful_readings(instrument, readings, packs=packs, since=since, until=until)
    states = {uid: next(iter(keeper.find(uid)), None) for uid in {each.reading.unit for each in found}}
    return Doubted(instrument=instrument, readings=len(readings), found=tuple((states[each.reading.unit], each) for each in found))


def _readings(keeper: RegisterKeeper, unit: str, names: frozenset[str]) -> list[Reading]:
    kept, _ = distinct(keeper.records(unit))
    facts, _ = apply_corrections(kept)
    return list(readings_on(unit, facts, names))


def _write(keeper: RegisterKeeper, writer: Writer, kind: str, subject: str, done: date, fields: Mapping[str, str]) -> str:
    draft = Draft(kind=kind, unit=subject, person=writer.person, done=PartialDate.of(done), fields=fields)
    return keeper.write([draft], writer=writer.device, received=writer.now)[0].unit


def _wrote(read: Callable[[], list[Subject]], uid: str) -> Subject:
    return next(each for each in read() if each.uid == uid)


def _check_free(name: str, known: Iterable[tuple[str, str]], *, what: str) -> None:
    key = name.strip().casefold()
    if key and any(key in (taken.casefold(), uid) for taken, uid in known):
        raise Refusal(what="this name is taken", rule=f"a name means one {what}, for good", got=name, do="choose another")


def _check_order(first: str | None, last: str | None, *, what: str) -> None:
    if first and last and last < first:
        raise Refusal(
            what=f"the last day of the paper lies before {what}", rule="a paper ends after it begins", got=last, do="check the days"
        )


_STEPS: dict[str, Callable[[str], object]] = {
    "scale": lambda text: parse_measure("mass", text),
    "regulator": lambda text: parse_pressure(text, difference=True),
    "test-gauge": lambda text: parse_pressure(text, difference=True),
    "master-gauge": lambda text: parse_pressure(text, difference=True),
    "test-jacket": lambda text: parse_measure("volume", text),
    "calibrated-cylinder": lambda text: parse_measure("volume", text),
}


def _check_step(fields: Mapping[str, str]) -> None:
    """The step and the uncertainty of a scale are masses, of a gauge pressures, of a jacket volumes. Raises `Refusal`."""
    read = _STEPS.get(fields.get("what", ""))
    for name in ("resolution", "uncertainty"):
        if read and name in fields:
            read(fields[name])
