"""Invented units of every kind with full nameplates, a shop's registers for them, and a walker that does all of a sheet well.

Readings that pass are taken from the job's own limits, so that no test works out a pressure of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import pytest

from pinseal.dates import PartialDate
from pinseal.measures import LB_KG, PSI_PA
from pinseal.reasons import Refusal
from pinseal.records.registers import Instrument, InstrumentCheck, Paper, Person
from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.loaners import Loaner
from pinseal.sheets.closing import Closed, close
from pinseal.sheets.compose import check_works, closed_works, steps_for, type_of
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import Gate, gates_of
from pinseal.sheets.job import Job, StandIn, TestDate
from pinseal.sheets.limits import Limit, limits_of
from pinseal.sheets.load import held_procedures
from pinseal.sheets.model import Answer, Step, Want
from pinseal.sheets.plate import read_plate
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working
from pinseal.standards.work_rules import yearly_emptying
from pinseal.units import parse_quantity

ON = date(2026, 5, 4)
NOT_OWED = TestDate(owed="no")
PACKS = ("us-osha", "us-nfpa10")
SUPERVISOR, TECHNICIAN = "Suna Invented", "Tomo Invented"
SCALE, LOANER = "SC-1", "L-1"


def _plate(agent: str, expelled_by: str | None, shell: str, **said: Any) -> Nameplate:
    found: dict[str, Any] = {
        "wheeled": False, "rechargeable": True, "hose": "shut-off", "cylinder_specification": "none", "size": parse_quantity("20 lb"),
        "gross_weight": "35 lb", "gross_weight_low": "34 lb 8 oz", "gross_weight_high": "35 lb 8 oz", "empty_weight": "15 lb",
        "service_pressure": "195 psi", "test_pressure": "585 psi", "water_capacity": parse_quantity("30 lb"),
    }  # fmt: skip
    return Nameplate(agent=agent, expelled_by=expelled_by, shell=shell, **(found | said))


_CARTRIDGE = {"cartridge_weight": "1 lb 2 oz", "cartridge_weight_low": "1 lb 1 oz"}
_GAS = {"expellant_pressure": "2015 psi", "regulator_pressure": "225 psi", "wheeled": True}
_LIQUID = {
    "size": parse_quantity("2.5 gal"), "gross_weight": "29 lb", "gross_weight_low": "28 lb 8 oz", "gross_weight_high": "29 lb 8 oz",
    "empty_weight": "8 lb", "service_pressure": "100 psi", "test_pressure": "300 psi", "water_capacity": parse_quantity("3 gal"),
}  # fmt: skip
_HALOCARBON = {
    "size": parse_quantity("9 lb"), "gross_weight": "18 lb", "gross_weight_low": "17 lb 12 oz", "gross_weight_high": "18 lb 4 oz",
    "empty_weight": "9 lb", "service_pressure": "100 psi", "test_pressure": "300 psi", "water_capacity": parse_quantity("10 lb"),
}  # fmt: skip

# Every kind of unit by its id, with more than one nameplate where the procedures differ inside the kind.
UNITS: Mapping[str, Nameplate] = {
    "portable-powder": _plate("abc", "stored-pressure", "mild-steel"),
    "portable-powder stamped": _plate("sodium-bicarbonate", "stored-pressure", "aluminium", cylinder_specification="4BW500"),
    "wheeled-powder": _plate("abc", "stored-pressure", "mild-steel", wheeled=True),
    "cartridge-powder": _plate("abc", "cartridge", "mild-steel", **_CARTRIDGE),
    "gas-cylinder": _plate("abc", "cylinder", "mild-steel", **_GAS),
    "gas-cylinder foam": _plate("afff", "cylinder", "stainless-steel", **_GAS),
    "carbon-dioxide": _plate(
        "co2", "self-expelling", "aluminium", size=parse_quantity("10 lb"), gross_weight="29 lb 6 oz", gross_weight_low=None,
        gross_weight_high=None, empty_weight="19 lb 6 oz", cylinder_specification="3AL1800", water_capacity=parse_quantity("14.8 lb"),
        service_pressure=None, test_pressure=None,
    ),
    "halogenated": _plate("halocarbon-hfc-236fa", "stored-pressure", "mild-steel", **_HALOCARBON),
    "halogenated by its own vapour": _plate("halon-1301", "self-expelling", "mild-steel", **_HALOCARBON),
    "pump-tank": _plate("water", "pump", "stainless-steel", **_LIQUID),
    "cartridge-water": _plate("afff", "cartridge", "stainless-steel", **_CARTRIDGE),
    "water-based": _plate("afff", "stored-pressure", "stainless-steel", **_LIQUID),
    "nonrechargeable": _plate("abc", "stored-pressure", "mild-steel", rechargeable=False, hose="none"),
    "nonrechargeable halogenated": _plate("halon-1211", "stored-pressure", "mild-steel", rechargeable=False, hose="none"),
    "obsolete": _plate("soda-acid", "self-expelling", "brass", hose="plain"),
}  # fmt: skip
KINDS = tuple(dict.fromkeys(name.split()[0] for name in UNITS))


def kind_of(name: str) -> str:
    """The kind of a key of `UNITS`."""
    return name.split()[0]


def instruments() -> dict[str, Instrument]:
    """One good scale; the other instruments of these tests are not named."""
    check = InstrumentCheck(record="check-1", done=PartialDate.of(date(2026, 5, 1)), good=True)
    scale = Instrument(uid="instrument-1", id=SCALE, what="scale", resolution="0.1 oz", uncertainty="0.1 oz", checks=(check,))
    return {SCALE.casefold(): scale}


def people() -> dict[str, Person]:
    """A supervisor and a technician, both with a licence that counts everywhere in these tests."""
    licence = Paper(record="paper-1", paper="licence", class_="portable", jurisdiction="california", from_day=date(2026, 1, 1))
    return {
        name.casefold(): Person(uid=f"person-{role}", id=role, name=name, role=role, papers=(licence,))
        for name, role in ((SUPERVISOR, "supervisor"), (TECHNICIAN, "technician"))
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a job of these tests is made for, where it differs from the plain one."""

    on: date = ON
    packs: tuple[str, ...] = PACKS
    test_date: TestDate = NOT_OWED
    last_agent: str | None = None
    condemned: str | None = None


def make(plate: Nameplate, *works: str, asked: Asked | None = None) -> Job:
    """A job for a unit with this nameplate. Raises `Refusal` for works that do not apply."""
    said, held = asked or Asked(), held_procedures()
    unit = UnitState(uid="unit-1", id="T-1", site="Invented Mill", place="hall", nameplate=plate)
    kind = type_of(unit, held.types)
    check_works(works, kind)
    closed = closed_works(works, unit)
    rule = yearly_emptying(said.packs)
    return Job(
        unit=unit, type=kind, works=closed, on=said.on, packs=said.packs, steps=steps_for(held, kind, closed, unit, said.packs),
        findings=held.findings, plate=read_plate(plate), test_date=said.test_date, last_agent=said.last_agent, condemned=said.condemned,
        by_step=rule.words if rule else "", instruments=instruments(), people=people(),
        loaners={LOANER.casefold(): StandIn(uid="unit-2", loaner=Loaner(plate=plate, overdue=()))},
    )  # fmt: skip


# -- readings that pass


def psi(pa: float) -> str:
    return f"{pa / float(PSI_PA):.4f} psi"


def lb(kg: float) -> str:
    return f"{kg / float(LB_KG):.6f} lb"


def _at_70(limit: Limit) -> tuple[float, float]:
    """Temperature and expected value of a table, at the row nearest to 70 F."""
    row = min(limit.table, key=lambda each: abs(each[0] - 294.26))
    return row[0], row[1]


def _of_limit(limit: Limit) -> float | None:
    if limit.table:
        return _at_70(limit)[1]
    if limit.aim is not None:
        return limit.aim
    if limit.low is not None and limit.high is not None:
        return (limit.low + limit.high) / 2
    return limit.high if limit.high is not None else limit.low


_PLAIN: Mapping[str, str] = {
    "pressure": "300 psi", "temperature": "70 F", "mass": "20 lb", "volume": "180 mL", "length": "1 mm", "seconds": "60", "count": "1",
    "percent": "1", "gas": "nitrogen", "date": "2026-06-01", "text": "as written", "yes-no": "no", "unit": LOANER,
}  # fmt: skip


def _limited(job: Job, step: Step, want: Want) -> str | None:
    """A reading in the middle of what the step allows; None where nothing is held against a number."""
    limits = [each for each in limits_of(job, step) if each.reading == want.name]
    values = [value for each in limits if (value := _of_limit(each)) is not None]
    if not values:
        return None
    value = values[0]
    if want.name == "permanent":
        return "10 mL"
    if want.name == "regulator":
        return psi(float(job.plate.charge_pa or 0))
    if want.name == "stopped":
        return psi(float(job.plate.charge_pa or 0))
    shape: Mapping[str, Callable[[float], str]] = {
        "pressure": psi,
        "mass": lb,
        "seconds": lambda s: f"{max(s, 30):g}",
        "temperature": lambda k: f"{(k - 273.15) * 9 / 5 + 32 - 5:.2f} F",
    }
    return shape[want.quantity](value)


def _empty_lb(job: Job) -> str:
    return job.unit.nameplate.empty_weight or "15 lb"


def _charge_lb(job: Job) -> str:
    """What goes in and comes out: full less empty."""
    plate = job.plate
    if plate.net_kg is not None:
        return lb(float(plate.net_kg))
    return lb(float((plate.gross_kg or 0) - (plate.empty_kg or 0)))


def good_reading(job: Job, step: Step, want: Want) -> str:
    """What a step reads on a unit with which nothing is wrong."""
    if want.name == "temperature":
        tables = [each for each in limits_of(job, step) if each.table]
        return f"{(_at_70(tables[0])[0] - 273.15) * 9 / 5 + 32:.2f} F" if tables else "70 F"
    if want.name == "agent":
        return job.agent or "abc"
    if want.name in ("mass", "recovered"):
        return _charge_lb(job)
    if want.name == "gauge" and step.stage in ("empty",):
        return "0 psi"
    if want.name == "gross" and step.stage == "empty":
        return _empty_lb(job)
    if want.name == "gross":
        return job.unit.nameplate.gross_weight or "35 lb"
    return _limited(job, step, want) or _PLAIN[want.quantity]


def good_answer(step: Step) -> Answer:
    """The first answer that is no finding."""
    return step.good_answers[0]


def good_entry(
    job: Job, step: Step, *, answer: str | None = None, readings: Mapping[str, str] | None = None, person: str = TECHNICIAN
) -> Entry:
    """One entry for a step: its first good answer, or the named one, with readings that pass and those that are given instead."""
    said = step.answer(answer) if answer else good_answer(step)
    code = said.code if said else answer or ""
    wanted = [w for w in step.wants if (code in w.only_with if w.only_with else said is not None and said.good) and not w.optional]
    found = {want.name: good_reading(job, step, want) for want in wanted}
    if step.judge and step.judge.by == "supply" and any(want.name == "dew-point" for want in step.wants):
        found["dew-point"] = "-80 F"
    given = {**found, **(readings or {})}
    scales = {want.name: SCALE for want in step.wants if want.instrument == "scale" and want.name in given}
    return Entry(kind="step", subject=step.id, said={"answer": code}, readings=given, instruments=scales, person=person)


# -- walking


def is_on_the_way(work: Working, step: Step) -> bool:
    """Whether a good walk answers this step: all that is wanted, and of a stamped shell the proof test, which may be left out."""
    if step.id == "test-cylinder-proof":
        return work.job.plate.marking is not None
    return work.is_wanted(step)


def walk(work: Working, *, to: str | None = None, answers: Mapping[str, str] | None = None,
         readings: Mapping[str, Mapping[str, str]] | None = None) -> Working:  # fmt: skip
    """Answer every step on the way that is not answered yet, well or as `answers` and `readings` say, up to a step (not with it).

    Raises `Refusal` where a step is shut.
    """
    said, read = answers or {}, readings or {}
    for step in work.job.steps:
        if step.id == to:
            break
        if (is_on_the_way(work, step) or step.id in said) and not work.is_answered(step):
            take(work, good_entry(work.job, step, answer=said.get(step.id), readings=read.get(step.id)))
    return work


def walked(plate: Nameplate, *works: str, asked: Asked | None = None, **how: Any) -> Working:
    """A sheet for this nameplate, walked."""
    return walk(begin(make(plate, *works, asked=asked)), **how)


def gate(work: Working, step: str, code: str) -> Gate:
    """One gate of a step as it stands."""
    found = work.job.step(step)
    assert found is not None, step
    return next(each for each in gates_of(work, found) if each.code == code)


def do(work: Working, step: str, answer: str | None = None, person: str = TECHNICIAN, **readings: str) -> Working:
    """Answer one step well, or as it is said. Raises `Refusal` where it is shut."""
    found = work.job.step(step)
    assert found is not None, step
    named = {name.replace("_", "-"): text for name, text in readings.items()}
    take(work, good_entry(work.job, found, answer=answer, readings=named, person=person))
    return work


def refused(work: Working, step: str, answer: str | None = None, person: str = TECHNICIAN, **readings: str) -> str:
    """The words with which a step is refused; that it leaves everything as it was is looked at too."""
    before = (list(work.entries), list(work.picture.told), list(work.picture.reads), list(work.findings), dict(work.answers))
    with pytest.raises(Refusal) as found:
        do(work, step, answer, person, **readings)
    assert before == (list(work.entries), list(work.picture.told), list(work.picture.reads), list(work.findings), dict(work.answers))
    return f"{found.value.what}; {found.value.rule}"


LEAVING: Mapping[str, str] = {
    "stand-in-there": "stands", "red-tag": "on", "safe-for-the-way": "safe", "owner-told": "told", "shell-made-unusable": "unusable",
    "cylinder-made-unusable": "unusable", "taken-away": "gone",
}  # fmt: skip


def leave(work: Working, *, without: Iterable[str] = ()) -> Working:
    """Take the unit away: a stand-in, the red tag, the shell made unusable where it stands open and proved empty, away."""
    for code, answer in LEAVING.items():
        step = work.job.step(code)
        if step is None or code in without:
            continue
        whole = answer == "unusable" and not (work.picture.is_open and work.picture.proof.state == "proved")
        take(work, good_entry(work.job, step, answer="goes-whole" if whole else answer))
    return work


def retired(plate: Nameplate) -> Closed:
    """A unit that is taken out of use, from the decision to the place where it goes."""
    work = walked(plate, "retirement", answers={"why-it-goes": "goes"})
    return close(leave(work), sheet="sheet-1")


def with_plate(name: str, **but: Any) -> Nameplate:
    """One of `UNITS` with some facts changed."""
    return replace(UNITS[name], **but)
