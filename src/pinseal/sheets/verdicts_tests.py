"""The verdicts on tests and damage: the shell, the hose, dents and pits, a carbon dioxide fill, and what stands in for the unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction

from pinseal.physics.expansion import expansion
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import TestGauge
from pinseal.rules.co2_fill import judge_co2_fill
from pinseal.rules.loaners import may_stand_in
from pinseal.rules.pressure_tests import ExpansionVerdict, Marking, judge_expansion
from pinseal.rules.proof_tests import ProofTest, judge_proof
from pinseal.rules.shell_damage import judge_dent, judge_pit
from pinseal.sheets.instruments_used import instrument, test_gauge
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.picture import Bench
from pinseal.sheets.readings import Reading
from pinseal.sheets.verdicts_mass import agent_in

_AGAIN = "mend what is named and test again"
_STAMP = "read the stamp and record it: pinseal record registered UNIT"
_NONE = ("none", "nothing", "no")


def _seconds(reading: Reading) -> Fraction:
    assert isinstance(reading.value, Fraction), "held is a number of seconds"
    return reading.value


def _test_gauge(job: Job, reading: Reading) -> TestGauge:
    return test_gauge(instrument(job, reading.instrument), job.on)


def asked_proof(job: Job, kind: str, *, test_pa: Fraction, held_s: Fraction | None = None, gauge: TestGauge | None = None) -> ProofTest:
    """A proof test of this unit at a pressure above the air [Pa], held so long [s]: shell, cylinder or hose by `kind`."""
    test = ProofTest(kind=kind, test_pa=test_pa, on=job.on, held_s=held_s, gauge=gauge or TestGauge())
    if kind not in ("shell", "cylinder"):
        return test
    return replace(test, factory_pa=job.plate.test_pa, service_pa=job.plate.charge_pa, marking=job.plate.marking)


def shell_kind(job: Job) -> str:
    """Whether the shell is proved as a stamped cylinder or by its nameplate."""
    return "cylinder" if job.plate.marking is not None else "shell"


def _proof(job: Job, kind: str, readings: dict[str, Reading]) -> Judgement:
    pressure = readings["pressure"]
    found = judge_proof(
        asked_proof(job, kind, test_pa=pressure.measure.exact, held_s=_seconds(readings["held"]), gauge=_test_gauge(job, pressure))
    )
    return Judgement(
        verdict=found.verdict,
        because=(*found.because, *found.cautions),
        settle="" if found.verdict in ("pass", "fail") else _AGAIN,
        finding="test-void" if found.verdict in ("unknown", "too-close") else None,
    )


def shell_proof(at: Bench) -> Judgement:
    """A proof test of the shell: at the factory's figure, or as the stamp asks. Never derived."""
    job, readings = at.job, at.readings
    return _proof(job, shell_kind(job), readings)


def hose_proof(at: Bench) -> Judgement:
    """A hose test: 1,250 psi for carbon dioxide, 300 psi for the others (29 CFR 1910.157(f)(6), (7))."""
    job, readings = at.job, at.readings
    return _proof(job, "co2-hose" if job.agent == "co2" else "powder-hose", readings)


def judged_expansion(readings: Mapping[str, Reading], *, marking: Marking, on: date) -> ExpansionVerdict:
    """The readings of a jacket test, judged by the stamp: total, permanent, pressure, rejection where it is marked. Raises `Refusal`."""
    rejection = readings.get("rejection")
    return judge_expansion(
        expansion(total_m3=readings["total"].measure.exact, permanent_m3=readings["permanent"].measure.exact),
        marking=marking,
        test_pa=readings["pressure"].measure.exact,
        on=on,
        rejection_m3=rejection.measure.exact if rejection else None,
    )


def water_jacket(at: Bench) -> Judgement:
    """How much of the expansion stayed, compared exactly before any rounding."""
    job, readings = at.job, at.readings
    if job.plate.marking is None:
        return Judgement(
            verdict="unknown",
            because=("the stamped specification is not on record, so its limit is not known",),
            settle=f"{_STAMP} --cylinder-specification …",
            finding="test-void",
        )
    try:
        found = judged_expansion(readings, marking=job.plate.marking, on=job.on)
    except Refusal as refused:
        return Judgement(verdict="unknown", because=(f"{refused.what}: {refused.rule}",), settle=refused.do, finding="test-void")
    words = (*found.because, *found.cautions)
    if not found.passed:
        return Judgement(verdict="fail", because=words)
    if found.pressure_enough is False:
        return Judgement(verdict="unknown", because=words, settle=_AGAIN, finding="test-void")
    return Judgement(verdict="pass", because=words)


def dent(at: Bench) -> Judgement:
    """A dent's depth against its greatest width, and at a weld against 1/4 in."""
    readings = at.readings
    weld = readings.get("at-weld")
    found = judge_dent(
        depth_m=readings["dent-depth"].measure.exact,
        greatest_width_m=readings["dent-width"].measure.exact,
        at_weld=weld is None or weld.value != "no",
    )
    said = (
        found.because
        if weld is not None
        else (*found.because, "it was not said whether it lies at a weld, so the weld's limit was applied too")
    )
    return Judgement(
        verdict=found.verdict, because=said, settle="" if found.verdict == "pass" else "measure it again with a finer depth gauge"
    )


def pit(at: Bench) -> Judgement:
    """A pit's depth against the wall."""
    readings = at.readings
    wall = readings.get("wall")
    found = judge_pit(depth_m=readings["pit-depth"].measure.exact, wall_m=wall.measure.exact if wall else None)
    return Judgement(verdict=found.verdict, because=found.because, settle="" if found.verdict == "pass" else "measure pit and wall again")


def co2_in(at: Bench) -> Judgement:
    """Carbon dioxide is filled by weight alone: never more than the shell's water capacity allows, and as the nameplate says."""
    job, readings = at.job, at.readings
    mass, plate = readings["mass"].measure.exact, job.plate
    if plate.marking is None or plate.water_kg is None:
        missing = "the stamped specification" if plate.marking is None else "the water capacity"
        return Judgement(
            verdict="unknown",
            because=(f"{missing} is not on record, so the most that the shell may hold is not known",),
            settle=f"{_STAMP} --water-capacity … --cylinder-specification …",
        )
    most = judge_co2_fill(mass_kg=mass, marking=plate.marking, on=job.on, water_capacity_kg=plate.water_kg)
    if most.verdict != "pass":
        return Judgement(
            verdict=most.verdict, because=most.because, side="above", settle="let it down to the nameplate charge outdoors, and weigh again"
        )
    if plate.net_kg is None:
        return Judgement(
            verdict="unknown",
            because=(*most.because, "the charge on the nameplate is not on record"),
            settle="read it off the nameplate and record it: pinseal record registered UNIT --size …",
        )
    assert job.agent is not None, "a carbon dioxide unit says its agent"
    found = agent_in(replace(at, readings={**readings, "agent": Reading(name="agent", text=job.agent, value=job.agent)}))
    return replace(found, because=(*found.because, *most.because))


def stand_in(at: Bench) -> Judgement:
    """What hangs in the place meanwhile: equal or better for the hazard there."""
    job, readings = at.job, at.readings
    named = str(readings["loaner"].value)
    if named.casefold() in _NONE:
        return Judgement(
            verdict="fail",
            because=("nothing stands in its place: the hazard there is without cover",),
            settle="bring an equal unit, or let a supervisor decide and say why",
        )
    loaner = job.loaners.get(named.casefold())
    if loaner is None:
        return Judgement(
            verdict="unknown", because=(f"there is no unit {named} in this shop",), settle="check the number of the loaner, or register it"
        )
    if loaner.uid == job.unit.uid:
        return Judgement(verdict="fail", because=("a unit does not stand in for itself",), settle="name the unit that hangs in its place")
    hazard = readings.get("hazard")
    found = may_stand_in(loaner.loaner, job.unit.nameplate, hazard=str(hazard.value) if hazard else None)
    return Judgement(verdict=found.verdict, because=found.because, settle="; ".join(found.would_settle))
