"""The verdicts on pressures: the unit's gauge, a gas cylinder, a regulator, the supply, where the gas was stopped and where it settled."""

from __future__ import annotations

import math

from pinseal.measures import PSI_PA, T_70F_K, for_people
from pinseal.physics import charging
from pinseal.physics.gas import refer_supply_gauge_pa
from pinseal.reasons import Refusal
from pinseal.rules.charge_refusals import ChargeAsked, missing_facts, refusals_before_sums
from pinseal.rules.gauge_models import medium_of
from pinseal.rules.gauging import COVERAGE, PLAIN_GAUGE_U_PA, THERMOMETER_U_K, GaugeAsked, GaugeVerdict, judge_gauge, three_way
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.picture import Bench
from pinseal.sheets.readings import Reading

BLOW_OUT_PA_MAX = 200 * PSI_PA  # wheeled powder only (common practice, no source)
ROOM_K = (288.7, 299.8)  # 60 to 80 F
_ROOM = "bring it to room temperature for a day and read it again"
_OF_SUPPLY = ("no-regulator", "above-ceiling", "wrong-gas", "moist-gas")
_MISSING_OF_SUPPLY = ("regulator", "dew point")


def pressure_words(job: Job, pa: float) -> str:
    """A pressure above the air for people."""
    return for_people(pa, "pressure", system=job.system)


def _no_charge_pressure() -> Judgement:
    return Judgement(
        verdict="unknown",
        because=("the charging pressure on the nameplate is not on record",),
        settle="read it off the nameplate and record it: pinseal record registered UNIT --service-pressure …",
    )


def gauge_asked(job: Job, reading_pa: float, t_k: float) -> GaugeAsked:
    """One reading of this unit's gauge with all that its nameplate says."""
    plate = job.plate
    band = None
    if plate.gauge_low_pa is not None and plate.gauge_high_pa is not None:
        band = (float(plate.gauge_low_pa), float(plate.gauge_high_pa))
    fill = float(plate.net_kg) / plate.water_m3 if plate.net_kg is not None and plate.water_m3 else None
    recharged = job.unit.dates.get("recharge")
    age = (job.on - recharged.latest).days if recharged and recharged.latest <= job.on else None
    return GaugeAsked(
        reading_gauge_pa=reading_pa,
        t_k=t_k,
        charge_gauge_pa=None if plate.charge_pa is None else float(plate.charge_pa),
        gas=plate.gas or "nitrogen",
        agent=job.agent,
        medium=medium_of(job.agent, None),
        fill_kg_m3=fill,
        age_days=age,
        band_gauge_pa=band,
    )


def gauge(at: Bench) -> Judgement:
    """Is the charge there in today's weather, and does the needle stand in its band?"""
    job, readings = at.job, at.readings
    if job.plate.charge_pa is None:
        return _no_charge_pressure()
    asked = gauge_asked(job, float(readings["gauge"].measure.gauge_pa()), readings["temperature"].measure.si)
    found = judge_gauge(asked, system=job.system)
    side = "below" if (found.difference_pa or 0.0) < 0 else "above"
    if found.verdict == "unknown" and found.on_dial != "not-given":
        return _by_the_band(asked, found)
    if found.verdict == "pass" and found.on_dial in ("below", "above"):
        return Judgement(verdict="too-close", because=found.because, side=side, settle=_ROOM, finding="needle-outside-band")
    return Judgement(verdict=found.verdict, because=found.because, side=side, settle="" if found.verdict == "pass" else _ROOM)


def _by_the_band(asked: GaugeAsked, found: GaugeVerdict) -> Judgement:
    """Where no model of the agent is held, the printed band decides, and only at room temperature (common practice, no source)."""
    low, high = ROOM_K
    words = "no model of this agent is held: judged by the printed band, at room temperature alone (common practice, no source)"
    if not low <= asked.t_k <= high:
        return Judgement(verdict="too-close", because=(*found.because, words), settle=_ROOM)
    if found.on_dial == "in":
        return Judgement(verdict="pass", because=(words,))
    return Judgement(verdict="fail", because=(f"the needle stands {found.on_dial} its printed band", words), side=found.on_dial)


def bench_gauge_doubt_pa(nominal_gauge_pa: float) -> float:
    """How far a regulator or a gas cylinder may be off its figure [Pa]: 2 % (common practice, no source), at least a plain gauge's U."""
    return max(COVERAGE * PLAIN_GAUGE_U_PA, 0.02 * nominal_gauge_pa)


def expellant_pressure(at: Bench) -> Judgement:
    """A nitrogen cylinder's gauge, referred to 70 F by the real gas, against its full pressure. Carbon dioxide is weighed instead."""
    job, readings = at.job, at.readings
    if job.plate.expellant_pa is None:
        return Judgement(
            verdict="unknown",
            because=("the full pressure of the gas cylinder is not on record",),
            settle="record it: pinseal record registered UNIT --expellant-pressure …",
        )
    full, t_k = float(job.plate.expellant_pa), readings["temperature"].measure.si
    read = float(readings["cylinder"].measure.gauge_pa())
    at_70 = float(refer_supply_gauge_pa("nitrogen", gauge_pa=read, t_k=t_k, to_t_k=T_70F_K))
    doubt = bench_gauge_doubt_pa(full)
    words = (
        f"the cylinder shows {pressure_words(job, read)} at {for_people(t_k, 'temperature', system=job.system)}, "
        f"that is {pressure_words(job, at_70)} at 70 F; full is {pressure_words(job, full)}"
    )
    least = "how far it may be below is the maker's to say; 2 % is taken here for the gauge (common practice, no source)"
    verdict = three_way(min(at_70 - full, 0.0), doubt)
    return Judgement(
        verdict=verdict, because=(words, least), side="below", settle="" if verdict == "pass" else "read it again on a calibrated gauge"
    )


def regulator(at: Bench) -> Judgement:
    """A gas cylinder unit's own regulator: its static outlet pressure against the nameplate's."""
    job, readings = at.job, at.readings
    if job.plate.regulator_pa is None:
        return Judgement(
            verdict="unknown",
            because=("the outlet pressure of the regulator is not on record",),
            settle="record it from the maker's manual: pinseal record registered UNIT --regulator-pressure …",
        )
    want, read = float(job.plate.regulator_pa), float(readings["static"].measure.gauge_pa())
    doubt = bench_gauge_doubt_pa(want)
    words = f"the regulator gives {pressure_words(job, read)} at rest; it should give {pressure_words(job, want)}"
    verdict = three_way(read - want, doubt)
    return Judgement(
        verdict=verdict,
        because=(words, "2 % or the doubt of a plain gauge is allowed (common practice, no source); the maker's limits come first"),
        side="below" if read < want else "above",
        settle="" if verdict == "pass" else "test it as the maker's manual says",
    )


def blow_out(at: Bench) -> Judgement:
    """The gas that blows the last powder out of a wheeled shell: at most 200 psi."""
    job, readings = at.job, at.readings
    read = readings["pressure"].measure.exact
    most = pressure_words(job, float(BLOW_OUT_PA_MAX))
    words = f"blown out with {pressure_words(job, float(read))}; at most {most} (common practice, no source)"
    return Judgement(verdict="pass" if read <= BLOW_OUT_PA_MAX else "fail", because=(words,), side="above")


# -- charging


def charge_asked(job: Job, *, readings: dict[str, Reading]) -> ChargeAsked | None:
    """What the charging rules take; None where the nameplate has no pressure."""
    plate = job.plate
    if plate.charge_pa is None:
        return None
    setting, dew = readings.get("regulator"), readings.get("dew-point")
    return ChargeAsked(
        agent=job.agent or "dry-chemical",
        agent_kg=float(plate.net_kg or 0),
        water_capacity_m3=plate.water_m3 or 0.0,
        pressure_gauge_pa=float(plate.charge_pa),
        shell_k=readings["temperature"].measure.si if "temperature" in readings else T_70F_K,
        on=job.on,
        gas=str(readings["gas"].value) if "gas" in readings else "nitrogen",
        wheeled=bool(job.unit.nameplate.wheeled),
        last_agent=job.last_agent or job.agent,
        has_regulator=setting is not None,
        regulator_gauge_pa=None if setting is None else float(setting.measure.gauge_pa()),
        dew_point_k=None if dew is None else dew.measure.si,
        nameplate_gas=plate.gas,
    )


def supply(at: Bench) -> Judgement:
    """Gas, dew point and regulator, before any gas flows."""
    job, readings = at.job, at.readings
    asked = charge_asked(job, readings=readings)
    if asked is None:
        return _no_charge_pressure()
    against = [refusal.because for refusal in refusals_before_sums(asked) if refusal.code in _OF_SUPPLY]
    if against:
        return Judgement(verdict="fail", because=tuple(against), settle="mend the supply and read again")
    missing = [name for name in missing_facts(asked) if name in _MISSING_OF_SUPPLY]
    if missing:
        return Judgement(
            verdict="unknown",
            because=tuple(f"the {name} of the supply was not said" for name in missing),
            settle="read it and answer this step again",
        )
    ceiling = pressure_words(job, asked.ceiling_gauge_pa)
    return Judgement(
        verdict="pass",
        because=(f"{asked.gas}, regulator at {pressure_words(job, asked.regulator_gauge_pa or 0.0)}; the ceiling is {ceiling}",),
    )


def target(job: Job, shell_k: float) -> tuple[float, float] | None:
    """What the unit should show after it settled at that temperature, and the doubt of it (k = 2) [Pa gauge]; None where no sum holds."""
    plate = job.plate
    if plate.charge_pa is None:
        return None
    gas, nameplate = plate.gas or "nitrogen", float(plate.charge_pa)
    doubt = COVERAGE * PLAIN_GAUGE_U_PA
    if job.type.id == "halogenated":
        found = judge_gauge(gauge_asked(job, nameplate, shell_k), system=job.system)
        return None if found.expected_gauge_pa is None else (found.expected_gauge_pa, found.uncertainty_pa or doubt)
    if job.is_water_like:
        share = _water_share(job)
        if share is None:
            return None
        wanted = charging.water_target_gauge_pa(gas, nameplate_gauge_pa=nameplate, shell_k=shell_k, ullage_share=share)
        return wanted, math.hypot(doubt, charging.target_u_pa(gas, nameplate_gauge_pa=nameplate, shell_k=shell_k, over_water=True))
    wanted = charging.target_gauge_pa(gas, nameplate_gauge_pa=nameplate, shell_k=shell_k)
    return wanted, math.hypot(doubt, charging.target_u_pa(gas, nameplate_gauge_pa=nameplate, shell_k=shell_k))


def _water_share(job: Job) -> float | None:
    """The share of a water unit's shell that is gas; None where shell or charge is not on record."""
    size, shell = job.unit.nameplate.size, job.plate.water_m3
    if size is None or not shell:
        return None
    taken = size.si if size.dimension == "m3" else size.si / 1000.0
    return 1 - taken / shell if 0 < taken < shell else None


def stopped(at: Bench) -> Judgement:
    """Where the gas was stopped: never above the ceiling, by the regulator's own gauge."""
    job, readings = at.job, at.readings
    asked = charge_asked(job, readings=readings)
    if asked is None:
        return _no_charge_pressure()
    read = float(readings["stopped"].measure.gauge_pa())
    words = f"the gas was stopped at {pressure_words(job, read)}; the ceiling is {pressure_words(job, asked.ceiling_gauge_pa)}"
    if job.plate.test_pa is not None and read >= float(job.plate.test_pa):
        test = pressure_words(job, float(job.plate.test_pa))
        return Judgement(
            verdict="fail", because=(words, f"it stood at its test pressure of {test} or above"), side="above", finding="overstressed"
        )
    if read > asked.ceiling_gauge_pa + 1e-3:
        return Judgement(verdict="fail", because=(words,), side="above")
    return Judgement(verdict="pass", because=(words,))


def _by_chart(readings: dict[str, Reading]) -> tuple[float, float] | None:
    """The target of the maker's temperature-pressure chart, where it was read there; it goes before any sum."""
    chart = readings.get("chart")
    return None if chart is None else (float(chart.measure.gauge_pa()), COVERAGE * PLAIN_GAUGE_U_PA)


def settled(at: Bench) -> Judgement:
    """The pressure at rest against the target at the shell's temperature."""
    job, readings = at.job, at.readings
    t_k = readings["temperature"].measure.si
    try:
        wanted = _by_chart(readings) or target(job, t_k)
    except Refusal as refused:
        return Judgement(verdict="unknown", because=(refused.rule,), settle=refused.do)
    if wanted is None and job.type.id == "halogenated":
        return Judgement(
            verdict="unknown",
            because=("no model of this agent is held, so the maker's temperature-pressure chart decides",),
            settle="read the maker's chart at this temperature and enter it as chart",
        )
    if wanted is None:
        missing = (
            "charging pressure"
            if job.plate.charge_pa is None
            else "size or water capacity"
            if job.is_water_like
            else "fill density, or a model of this agent"
        )
        return Judgement(
            verdict="unknown",
            because=(f"no target can be worked out: {missing} is not on record; the maker's chart decides",),
            settle="record the fact, or judge it by the maker's temperature-pressure chart",
        )
    aim, doubt = wanted
    read = float(readings["settled"].measure.gauge_pa())
    slope = THERMOMETER_U_K * COVERAGE * aim / t_k
    verdict = three_way(read - aim, math.hypot(doubt, slope))
    words = (
        f"settled at {pressure_words(job, read)}; the target at {for_people(t_k, 'temperature', system=job.system)} "
        f"is {pressure_words(job, aim)}, known to {pressure_words(job, math.hypot(doubt, slope))}"
    )
    return Judgement(
        verdict=verdict,
        because=(words,),
        side="below" if read < aim else "above",
        settle="" if verdict == "pass" else "let it stand at room temperature and read it on a calibrated gauge",
    )
