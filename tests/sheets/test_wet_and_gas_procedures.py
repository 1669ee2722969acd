"""Carbon dioxide, halogenated and water units and the shell test, walked from the first step to the leak check. Invented units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest

from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate, UnitState
from pinseal.sheets.compose import closed_works, steps_for, type_of
from pinseal.sheets.entries import read_entry
from pinseal.sheets.gates import shut_gates
from pinseal.sheets.job import Job, TestDate
from pinseal.sheets.load import held_procedures
from pinseal.sheets.model import STAGES
from pinseal.sheets.plate import read_plate
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working
from pinseal.units import parse_quantity

PACKS = ("us-osha", "us-nfpa10")
BASE = {
    "gas": "nitrogen", "dew-point": "-70 F", "temperature": "70 F", "container": "R-7", "lot": "L-1", "certificate": "C-1", "held": "60",
    "calibration": "within 1 %", "test-figure": "300 psi", "approval": "invented", "gauge": "100 psi", "regulator": "120 psi",
    "stopped": "100 psi", "settled": "100 psi",
}  # fmt: skip
CO2 = Nameplate(
    agent="co2", expelled_by="self-expelling", shell="aluminium", wheeled=False, rechargeable=True, size=parse_quantity("10 lb"),
    hose="plain", cylinder_specification="3AL1800", water_capacity=parse_quantity("14.8 lb"), gross_weight="29 lb 6 oz",
    empty_weight="19 lb 6 oz",
)  # fmt: skip
CO2_READ = {
    **BASE, "gross": "29 lb 6 oz", "co2-empty-weight gross": "19 lb 6 oz", "mass": "10 lb", "pressure": "3000 psi", "total": "92.0 mL",
    "permanent": "8.4 mL",
}  # fmt: skip
HALOGENATED = Nameplate(
    agent="halocarbon-hfc-236fa", expelled_by="stored-pressure", shell="mild-steel", wheeled=False, rechargeable=True,
    size=parse_quantity("9 lb"), hose="plain", cylinder_specification="none", service_pressure="100 psi", test_pressure="300 psi",
    water_capacity=parse_quantity("10 lb"), gross_weight="18 lb",
    gross_weight_low="17.8 lb", gross_weight_high="18.2 lb", empty_weight="9 lb",
)  # fmt: skip
HALOGENATED_READ = {
    **BASE, "agent": "halocarbon-hfc-236fa", "mass": "9 lb", "gross": "18 lb", "halogenated-account gross": "9 lb", "recovered": "9 lb",
    "pressure": "300 psi",
}  # fmt: skip
FOAM = Nameplate(
    agent="afff", expelled_by="stored-pressure", shell="stainless-steel", wheeled=False, rechargeable=True, size=parse_quantity("2.5 gal"),
    hose="plain", cylinder_specification="none", service_pressure="100 psi", test_pressure="300 psi",
    water_capacity=parse_quantity("3 gal"), gross_weight="29 lb",
    gross_weight_low="28.5 lb", gross_weight_high="29.5 lb", empty_weight="8 lb",
)  # fmt: skip
FOAM_READ = {**BASE, "agent": "afff", "mass": "20.9 lb", "gross": "29 lb", "pressure": "300 psi", "gas": "air"}


def job(plate: Nameplate, *works: str) -> Job:
    unit, held = UnitState(id="T-1", nameplate=plate), held_procedures()
    kind = type_of(unit, held.types)
    closed = closed_works(works, unit)
    return Job(
        unit=unit, type=kind, works=closed, on=date(2026, 5, 4), packs=PACKS, steps=steps_for(held, kind, closed, unit, PACKS),
        findings=held.findings, plate=read_plate(plate), test_date=TestDate(owed="no"),
    )  # fmt: skip


def walk(sheet: Job, readings: Mapping[str, str], answers: Mapping[str, str] | None = None, *, to: str = "leak") -> Working:
    """Answer every wanted step with its first good answer, stage by stage, or as `answers` says."""
    said, work = answers or {}, begin(sheet)
    last = list(STAGES).index(to)
    for step in sheet.steps:
        if list(STAGES).index(step.stage) > last or step.when == "leaving" or (step.skippable and step.id not in said):
            continue
        code = said.get(step.id, step.good_answers[0].code)
        wanted = [want for want in step.wants if not want.only_with or code in want.only_with]
        found = {w.name: readings.get(f"{step.id} {w.name}", readings.get(w.name, "")) for w in wanted}
        take(work, read_entry({"step": step.id, "answer": code, "readings": {k: v for k, v in found.items() if v}}))
    return work


def ids(sheet: Job) -> set[str]:
    return {step.id for step in sheet.steps}


def stops(work: Working) -> set[str]:
    return {found.finding for found in work.open_stops()}


@pytest.mark.parametrize("works", [("maintenance",), ("recharge",), ("internal-examination",), ("hydrostatic-test",)])
@pytest.mark.parametrize(("plate", "readings"), [(CO2, CO2_READ), (FOAM, FOAM_READ)])
def test_a_good_unit_goes_through_to_the_leak_check_without_a_stop(
    plate: Nameplate, readings: dict[str, str], works: tuple[str, ...]
) -> None:
    work = walk(job(plate, *works), readings)
    assert not stops(work)
    assert work.picture.has("leak-free") == (works != ("maintenance",))


@pytest.mark.parametrize("works", [("recharge",), ("hydrostatic-test",)])
def test_a_halogenated_unit_is_charged_and_only_the_unknown_scale_stops_it(works: tuple[str, ...]) -> None:
    work = walk(job(HALOGENATED, *works), HALOGENATED_READ)
    assert work.picture.has("leak-free")
    assert stops(work) == {"not-judged"}  # no scale is on record, so the account of the agent is not judged


@pytest.mark.parametrize("plate", [CO2, HALOGENATED])
def test_a_recharge_alone_leaves_the_valve_of_a_liquefied_gas_on(plate: Nameplate) -> None:
    assert not any(step.effect == "open" for step in job(plate, "recharge").steps)
    assert any(step.effect == "open" for step in job(plate, "internal-examination").steps)


def test_carbon_dioxide_that_still_weighs_more_than_empty_is_not_opened() -> None:
    with pytest.raises(Refusal, match="Valve off: the step is shut"):
        walk(job(CO2, "internal-examination"), {**CO2_READ, "co2-empty-weight gross": "21 lb"})


def test_carbon_dioxide_from_a_supply_that_is_not_right_is_not_filled() -> None:
    with pytest.raises(Refusal, match="Fill by weight: the step is shut"):
        walk(job(CO2, "recharge"), CO2_READ, {"co2-supply": "not-right"})


@pytest.mark.parametrize(("mass", "found"), [("10 lb", set()), ("10.2 lb", {"fill-wrong"})])
def test_more_carbon_dioxide_than_the_shell_may_hold_stops_the_sheet(mass: str, found: set[str]) -> None:
    assert stops(walk(job(CO2, "recharge"), {**CO2_READ, "mass": mass})) == found


@pytest.mark.parametrize(("gross", "found"), [("28 lb 6 oz", set()), ("28 lb 5 oz", {"gas-loss"})])
def test_carbon_dioxide_that_lost_more_than_a_tenth_is_to_be_recharged(gross: str, found: set[str]) -> None:
    assert stops(walk(job(CO2, "maintenance"), {**CO2_READ, "gross": gross})) == found


@pytest.mark.parametrize(("permanent", "passed"), [("9.2 mL", True), ("9.21 mL", False)])
def test_more_than_a_tenth_of_the_expansion_left_condemns_the_cylinder(permanent: str, passed: bool) -> None:
    work = walk(job(CO2, "hydrostatic-test"), {**CO2_READ, "permanent": permanent}, to="test")
    assert work.picture.has("test-passed") == passed
    assert ("expansion-over-limit" in stops(work)) != passed


@pytest.mark.parametrize("bar", ["repaired", "threads", "pitted", "pitted-under-plate", "burned", "calcium-chloride"])
def test_each_bar_of_the_list_keeps_the_shell_from_the_test(bar: str) -> None:
    work = walk(job(FOAM, "hydrostatic-test"), FOAM_READ, {"test-never-list": bar}, to="inside")
    test = work.job.step("test-shell-proof")
    assert test is not None
    assert "may-be-tested" in {gate.code for gate in shut_gates(work, test)}


def test_a_shell_that_failed_its_test_is_still_let_down_and_looked_at_but_never_filled() -> None:
    work = walk(job(FOAM, "hydrostatic-test"), FOAM_READ, {"test-shell-proof": "leaked"}, to="test")
    assert work.is_answered(next(step for step in work.job.steps if step.id == "test-look-after"))
    fill = work.job.step("water-fill")
    assert fill is not None
    assert "shell-verdict" in {gate.code for gate in shut_gates(work, fill)}


def test_a_shell_for_gas_is_not_filled_while_it_is_damp_and_a_water_shell_needs_no_drying() -> None:
    work = walk(job(HALOGENATED, "hydrostatic-test"), HALOGENATED_READ, {"dry-seen": "damp"}, to="dry")
    fill = work.job.step("halogenated-fill")
    assert fill is not None
    assert "dry-shell" in {gate.code for gate in shut_gates(work, fill)}
    assert "dry-seen" not in ids(job(FOAM, "hydrostatic-test"))


def test_the_method_follows_the_stamp() -> None:
    plain, stamped = ids(job(FOAM, "hydrostatic-test")), ids(job(replace(FOAM, cylinder_specification="4BW240"), "hydrostatic-test"))
    assert "test-shell-proof" in plain and "test-cylinder-proof" not in plain and "test-approval" not in plain
    assert {"test-cylinder-proof", "test-cylinder-jacket", "test-approval"} <= stamped and "test-shell-proof" not in stamped
    assert "test-jacket" in ids(job(CO2, "hydrostatic-test"))


def test_a_unit_that_its_own_vapour_drives_gets_no_nitrogen() -> None:
    halon = replace(HALOGENATED, agent="halon-1301", expelled_by="self-expelling")
    assert "halogenated-own-vapour" in ids(job(halon, "recharge"))
    assert not {"halogenated-supply", "halogenated-charge", "halogenated-settled"} & ids(job(halon, "recharge"))


def test_water_types_bear_frost_by_their_agent() -> None:
    assert "water-above-frost" in ids(job(FOAM, "inspection"))
    assert "water-above-frost" not in ids(job(replace(FOAM, agent="antifreeze"), "inspection"))
