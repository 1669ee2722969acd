"""The verdicts on weights: the nameplate's band, a loss, a cartridge, what was filled in, and an agent's account."""

from __future__ import annotations

from fractions import Fraction

from pinseal import kinds
from pinseal.measures import LB_KG
from pinseal.physics.weighing import scale_decides
from pinseal.rules.charge_refusals import mixing_reason
from pinseal.rules.sums_of_mass import balance
from pinseal.rules.weighing import Weighing, judge_weight
from pinseal.sheets.instruments_used import scale, scale_u_kg
from pinseal.sheets.job import Job
from pinseal.sheets.judgement import Judgement
from pinseal.sheets.picture import Bench
from pinseal.sheets.readings import Reading

CO2_LOSS_LIMIT_PERCENT = Fraction(10)  # 46 CFR 107.235, public copy: recharge where the loss exceeds 10 %
_REWEIGH = "weigh it again on a finer, calibrated scale"


def mass_words(job: Job, kg: Fraction) -> str:
    """A mass for people, in the shop's units and the other system's."""
    pounds, kilos = f"{float(kg / LB_KG):.2f} lb", f"{float(kg):.3f} kg"
    return f"{kilos} ({pounds})" if job.system == "metric" else f"{pounds} ({kilos})"


def _unknown(missing: str, do: str) -> Judgement:
    return Judgement(verdict="unknown", because=(f"{missing} is not on record",), settle=do)


def _plate_words(name: str) -> str:
    return f"read it off the nameplate and record it: pinseal record registered UNIT --{name} …"


def _against(job: Job, kg: Fraction, low: Fraction, high: Fraction, guard: Fraction, what: str) -> Judgement:
    """A mass against a band whose ends are still allowed; within the guard of an end it is too close to call."""
    words = f"{what} {mass_words(job, kg)}; the nameplate allows {mass_words(job, low)} to {mass_words(job, high)}"
    for side, beyond in (("below", low - kg), ("above", kg - high)):
        if beyond > 0 and beyond >= guard:
            return Judgement(verdict="fail", because=(words,), side=side, settle=_REWEIGH if guard else "")
        if beyond > -guard:
            end = mass_words(job, low if side == "below" else high)
            unsure = f"the scale is good to {mass_words(job, guard)} and cannot tell on which side of {end} it lies"
            return Judgement(verdict="too-close", because=(words, unsure), side=side, settle=_REWEIGH)
    return Judgement(verdict="pass", because=(words,))


def _guard(job: Job, reading: Reading) -> Fraction:
    return scale_u_kg(job, reading.instrument) or Fraction(0)


def gross_weight(at: Bench) -> Judgement:
    """The whole unit against the weights on its nameplate. The band is never derived from the full mark."""
    job, readings = at.job, at.readings
    reading, plate = readings["gross"], job.plate
    kg, guard = reading.measure.exact, _guard(job, reading)
    if plate.gross_low_kg is not None and plate.gross_high_kg is not None:
        band = mass_words(job, plate.gross_high_kg - plate.gross_low_kg)
        if guard and not scale_decides(
            resolution=scale(job, reading.instrument).resolution_kg or Fraction(0),
            expanded=float(guard),
            limit=plate.gross_high_kg - plate.gross_low_kg,
        ):
            return Judgement(verdict="unknown", because=(f"the scale is too coarse for a band of {band}",), settle=_REWEIGH)
        return _against(job, kg, plate.gross_low_kg, plate.gross_high_kg, guard, "it weighs")
    if plate.gross_kg is None:
        return _unknown("the full weight on the nameplate", _plate_words("gross-weight"))
    if abs(kg - plate.gross_kg) <= guard:
        return Judgement(verdict="pass", because=(f"it weighs {mass_words(job, kg)}, its full weight within the doubt of the scale",))
    words = (
        f"it weighs {mass_words(job, kg)}; the full mark says {mass_words(job, plate.gross_kg)}, "
        "and the band that the nameplate allows is not on record"
    )
    return Judgement(
        verdict="unknown", because=(words,), side="below" if kg < plate.gross_kg else "above", settle=_plate_words("gross-weight-low")
    )


def weight_loss(at: Bench) -> Judgement:
    """What liquefied gas has lost, in percent of the net charge."""
    job, readings = at.job, at.readings
    plate, reading = job.plate, readings["gross"]
    if plate.gross_kg is None:
        return _unknown("the full weight stamped on the valve or nameplate", _plate_words("gross-weight"))
    if plate.net_kg is None:
        return _unknown("the charge on the nameplate", _plate_words("size"))
    known = scale(job, reading.instrument)
    found = judge_weight(
        Weighing(
            full_kg=plate.gross_kg,
            now_kg=reading.measure.exact,
            net_kg=plate.net_kg,
            limit_percent=CO2_LOSS_LIMIT_PERCENT,
            low_kg=plate.gross_low_kg,
            high_kg=plate.gross_high_kg,
            resolution_kg=known.resolution_kg,
            calibration_kg=known.calibration_kg,
        ),
        words=lambda kg: mass_words(job, kg),
    )
    side = "above" if reading.measure.exact > plate.gross_kg else "below"
    return Judgement(verdict=found.verdict, because=found.because, side=side, settle="" if found.verdict == "pass" else _REWEIGH)


def cartridge_weight(at: Bench) -> Judgement:
    """A cartridge against the weight stamped on it; how much it may be light is the maker's to say."""
    job, readings = at.job, at.readings
    plate, reading = job.plate, readings["cartridge"]
    if plate.cartridge_kg is None:
        return _unknown("the full weight of the cartridge", _plate_words("cartridge-weight"))
    kg, guard = reading.measure.exact, _guard(job, reading)
    if plate.cartridge_low_kg is not None:
        spread = max(plate.cartridge_kg - plate.cartridge_low_kg, guard)  # heavy by as much as it may be light is no fault either
        return _against(job, kg, plate.cartridge_low_kg, plate.cartridge_kg + spread + guard, guard, "the cartridge weighs")
    if kg >= plate.cartridge_kg - guard:
        return Judgement(
            verdict="pass",
            because=(f"the cartridge weighs {mass_words(job, kg)}, its full weight is {mass_words(job, plate.cartridge_kg)}",),
        )
    words = (
        f"the cartridge weighs {mass_words(job, kg)}, less than its full {mass_words(job, plate.cartridge_kg)}; "
        "how much it may be light is not on record"
    )
    return Judgement(verdict="unknown", because=(words,), side="below", settle=_plate_words("cartridge-weight-low"))


def agent_in(at: Bench) -> Judgement:
    """What was filled in: the nameplate's agent alone, and as much as the nameplate says."""
    job, readings = at.job, at.readings
    agent, mass = str(readings["agent"].value), readings["mass"].measure.exact
    if agent == job.agent and not kinds.AGENTS[agent].specific:
        words = f"the nameplate on record says {kinds.agent_label(agent)}: it is not known whether the same agent went in"
        return Judgement(verdict="unknown", because=(words,), settle=_plate_words("agent"))
    wrong = _wrong_agent(job, agent)
    if wrong:
        return Judgement(verdict="fail", because=(wrong,), finding="agent-wrong", settle="")
    if job.plate.net_kg is None:
        if job.unit.nameplate.size is None:
            return _unknown("the charge on the nameplate", _plate_words("size"))
        volume = job.unit.nameplate.size.for_people()
        words = f"{mass_words(job, mass)} of {kinds.agent_label(agent)}; the nameplate gives a volume, {volume}: fill to its mark"
        return Judgement(verdict="pass", because=(words,))
    guard, spread = _guard(job, readings["mass"]), _band_half_width(job)
    net = job.plate.net_kg
    if spread is None:
        if abs(mass - net) <= guard:
            return Judgement(verdict="pass", because=(f"{mass_words(job, mass)} filled in, as the nameplate says",))
        words = (
            f"{mass_words(job, mass)} filled in; the nameplate says {mass_words(job, net)}, "
            "and how far it may differ is not on record: fill to the figure"
        )
        return Judgement(verdict="fail", because=(words,), side="below" if mass < net else "above", settle=_plate_words("gross-weight-low"))
    return _against(job, mass, net - spread[0], net + spread[1], guard, "filled in")


def _wrong_agent(job: Job, agent: str) -> str | None:
    """Why this agent may not go in: against the nameplate, and against what was in it last."""
    for before, where in ((job.agent, "the nameplate says"), (job.last_agent, "last filled with")):
        if before is None:
            continue
        reason = mixing_reason(agent, before, None)
        if reason:
            return f"{where} {kinds.agent_label(before)}: {reason}"
    return None


def _band_half_width(job: Job) -> tuple[Fraction, Fraction] | None:
    """How far the charge may lie below and above its figure: what the gross band leaves around the full mark."""
    plate = job.plate
    if plate.gross_kg is None or plate.gross_low_kg is None or plate.gross_high_kg is None:
        return None
    return max(plate.gross_kg - plate.gross_low_kg, Fraction(0)), max(plate.gross_high_kg - plate.gross_kg, Fraction(0))


def mass_balance(at: Bench) -> Judgement:
    """Gross before, less what was recovered, less gross after: nothing may be missing beyond the scale."""
    job, picture, readings = at.job, at.picture, at.readings
    before = picture.reading("gross", stage="weigh")
    after = readings.get("gross") or picture.reading("gross", stage="empty")
    if before is None or after is None:
        which = "before it was emptied" if before is None else "after it was emptied"
        return Judgement(verdict="unknown", because=(f"the unit was not weighed {which}",), settle="weigh the whole unit")
    recovered = readings["recovered"]
    errors = [u for each in (before, after, recovered) if (u := scale_u_kg(job, each.instrument)) is not None]
    if not errors:
        return Judgement(
            verdict="unknown",
            because=("nothing is on record of the scale, so the account cannot be judged",),
            settle="register the scale with its resolution and uncertainty: pinseal instruments add",
        )
    found = balance(in_kg=[before.measure.exact], out_kg=[recovered.measure.exact], left_kg=after.measure.exact, scale_kg=max(errors))
    return Judgement(verdict=found.verdict, because=found.because, settle="" if found.verdict == "pass" else _REWEIGH)
