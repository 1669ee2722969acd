"""Leak verdicts: from series of readings to none, slow leak, one-off loss or unclear, with the reason and what would settle it.

Verdicts: pass (no loss is shown and none could hide that would matter within a year), fail (the unit loses or has lost gas or agent, or
stands below its limit), too-close, unknown. A stored-pressure unit should lose nothing, so a loss that is shown fails.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

import numpy as np

from pinseal.dates import from_day_number
from pinseal.measures import PSI_PA
from pinseal.physics import leak_outlook as outlook
from pinseal.physics.leak_kinds import EVENT, KINDS, LEAK, LOSS, NONE, Findings, judge
from pinseal.physics.leak_outlook import Crossings, Unit
from pinseal.physics.leak_rates import bubble_test, std_cm3_s
from pinseal.physics.leaks import READINGS_MIN, Fits, fit
from pinseal.rules.leak_series import YEAR_DAYS, Series, dissolution_pa, year_of

_PSI = float(PSI_PA)
# Expected size of a leak and of a one-off loss, where there is one: 12 psi a year and 20 psi; of a weight, the same share of itself.
SLOPE_PRIOR_PA, STEP_PRIOR_PA = 12 * _PSI, 20 * _PSI
_OF_195 = 1 / 195.0
# Without a limit, a leak that loses less than this in a year is small enough to pass: 12 psi, or as much of a weight.
HIDDEN_SHARE = 12 * _OF_195
RISE_T = 4.5
SURE_NONE = 0.10


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """One more reading that would settle it: on what day; at or below `value` it means `below`, above it `above`."""

    on: date
    value: float | None = None
    below: str = ""
    above: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """When the limit is met if the line goes on; `latest` None with `bounded` false is "cannot bound"."""

    when: date | None
    earliest: date | None
    latest: date | None
    bounded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakAnswer:
    """The answer for one unit. Values in Pa at 70 F or kg, slopes per year, all in the unit of the evidence."""

    series: Series
    kind: str
    verdict: str
    slope: float | None = None
    slope_low: float | None = None
    slope_high: float | None = None
    probabilities: dict[str, float | None] = field(default_factory=dict)
    shares: tuple[float, float, float] | None = None
    loss: float | None = None
    loss_after: date | None = None
    loss_before: date | None = None
    level: float | None = None
    level_low: float | None = None
    level_high: float | None = None
    detectable: float | None = None
    scatter: float | None = None
    excess: bool = False
    crossing: Crossing | None = None
    next_reading: NextReading | None = None
    leak_rate_std_cm3_s: float | None = None
    bubble_test: str | None = None
    dissolution: float | None = None
    weight_change: tuple[float, float] | None = None  # mean change over the loss and its standard uncertainty [kg]
    odd: tuple[int, ...] = ()
    last_low: bool = False
    rise: tuple[float, date, date] | None = None
    why: str = ""  # the rule that decided, for the words
    line: Unit | None = None
    step_at: int = -1


def assess(fleet: Sequence[Series], *, on: date) -> list[LeakAnswer]:
    """Judge every series of a fleet on a day. Fleets of 200 and more teach their own shares of leaks and losses.

    >>> assess([], on=date(2026, 1, 1))
    []
    """
    enough = [number for number, series in enumerate(fleet) if _can_fit(series)]
    answers = {number: LeakAnswer(series=series, kind="unknown", verdict="unknown", why="few") for number, series in enumerate(fleet)}
    if enough:
        chosen = [fleet[number] for number in enough]
        answers |= dict(zip(enough, _assess(chosen, on), strict=True))
    return [answers[number] for number in range(len(fleet))]


def _can_fit(series: Series) -> bool:
    """Three readings of one gauge on two days at least; more gauges need more readings."""
    return len(series.days) >= READINGS_MIN and len(series.days) > len(set(series.gauges)) + 1 and len(set(series.days)) > 1


def _assess(fleet: Sequence[Series], on: date) -> list[LeakAnswer]:
    from pinseal.rules.leak_series import columns

    heavy = np.array([series.evidence == "weight" for series in fleet])
    size = np.array([max(abs(series.values[0]), 1e-3) for series in fleet])
    # one fit for both kinds of evidence: the fit only sees a number, its uncertainty and its expected sizes
    fits = fit(
        columns(fleet),
        slope_prior=np.where(heavy, size * 12 * _OF_195, SLOPE_PRIOR_PA),
        step_prior=np.where(heavy, size * 20 * _OF_195, STEP_PRIOR_PA),
    )
    findings = judge(fits)
    limits = np.array([math.nan if series.limit is None else series.limit for series in fleet])
    crossed = outlook.crossings(fits, limits)
    return [_answer(series, number, fits, findings, crossed, on) for number, series in enumerate(fleet)]


def _number(value: Any) -> float | None:
    return None if not math.isfinite(value) else float(value)


def _day(year: float, *, up: bool = False) -> date | None:
    """A time in years as a day, within the calendar of the program."""
    if not math.isfinite(year):
        return None
    days = math.ceil(year * YEAR_DAYS) if up else math.floor(year * YEAR_DAYS)
    return from_day_number(days) if 0 <= days < 73_000 else None


def _answer(series: Series, number: int, fits: Fits, findings: Findings, crossed: Crossings, on: date) -> LeakAnswer:
    if not math.isfinite(fits.slope[number]):
        return LeakAnswer(series=series, kind="unknown", verdict="unknown", why="one-time")
    kind, unit, excess = int(findings.kind[number]), Unit.of(fits, number), bool(fits.excess[number])
    if kind == EVENT:
        unit, excess = replace(unit, scatter=float(fits.scatter_step[number])), bool(fits.excess_step[number])
    found = LeakAnswer(
        series=series,
        kind=KINDS[kind],
        verdict="unknown",
        slope=float(findings.slope[number]),
        slope_low=float(findings.slope_low[number]),
        slope_high=float(findings.slope_high[number]),
        probabilities={
            "none": _number(findings.probability_none[number]),
            "slow_leak": _number(findings.probability_leak[number]),
            "one_off_loss": _number(findings.probability_event[number]),
        },
        shares=findings.shares,
        detectable=_detectable(unit),
        scatter=unit.scatter,
        excess=excess,
        last_low=bool(fits.last_low[number]),
        line=unit,
        dissolution=dissolution_pa(series),
        **_level(series, unit, kind),
        **_loss(series, fits, number, kind),
    )
    found = replace(found, odd=_odd(found), rise=_rise(series, fits, number), crossing=_crossing(found, kind, crossed, number))
    found = replace(found, **_rate(found, kind))
    return _judged(found, kind, on)


def _detectable(unit: Unit) -> float:
    """The leak that these readings would have shown four times in five, per year."""
    from pinseal.physics.leaks import t_quantile

    return float(t_quantile(0.95, np.array([unit.df]))[0] + 0.8416) * unit.slope_se


def _level(series: Series, unit: Unit, kind: int) -> dict[str, Any]:
    """Where the needle of the last gauge stands at 70 F on the day of the last reading, with its interval."""
    at = year_of(series.days[-1])
    if kind == EVENT:
        level = outlook.level_after(unit)
        _, reach = outlook.line(replace(unit, slope_se=0.0, weight=unit.weight * max(unit.after_share, 1e-9)), at)
    else:
        level, reach = outlook.line(unit, at)
    return {"level": level, "level_low": level - reach, "level_high": level + reach}


def _loss(series: Series, fits: Fits, number: int, kind: int) -> dict[str, Any]:
    at = int(fits.step_after[number])
    if kind not in (EVENT, LOSS) or at < 0:
        return {}
    days = series.days
    change = _weight_change(series, days[at - 1], days[at]) if kind == EVENT else None
    return {"loss": float(-fits.step[number]), "loss_after": days[at - 1], "loss_before": days[at], "weight_change": change, "step_at": at}


def _weight_change(series: Series, after: date, before: date) -> tuple[float, float] | None:
    """Mean change of weight over a one-off loss, scale by scale, and its standard uncertainty; None where no scale saw both sides."""
    changes = []
    for scale in {name for _, name, _ in series.weights}:
        early = [kg for day, name, kg in series.weights if name == scale and day <= after]
        late = [kg for day, name, kg in series.weights if name == scale and day >= before]
        if early and late:
            share = 1 / len(early) + 1 / len(late)
            changes.append((sum(late) / len(late) - sum(early) / len(early), share))
    if not changes:
        return None
    change, share = min(changes, key=lambda pair: pair[1])
    return change, series.scale_u_kg * math.sqrt(share)


def _odd(found: LeakAnswer) -> tuple[int, ...]:
    """Readings more than four standard deviations off the chosen model: a slip of the pen or another gauge."""
    series, unit = found.series, found.line
    if unit is None or (found.step_at < 0 and found.kind == "one-off-loss"):
        return ()
    last = series.gauges[-1]
    odd = []
    for number, (day, value, u) in enumerate(zip(series.days, series.values, series.u, strict=True)):
        if series.gauges[number] != last:
            continue
        if found.kind == "one-off-loss":
            expected = outlook.level_after(unit) - (unit.step if number < found.step_at else 0.0)
        else:
            expected, _ = outlook.line(unit, year_of(day))
        if abs(value - expected) > 4 * u * max(unit.scatter, 1.0):
            odd.append(number)
    return tuple(odd)


def _rise(series: Series, fits: Fits, number: int) -> tuple[float, date, date] | None:
    at = int(fits.rise_after[number])
    if at < 0 or fits.t_rise[number] < RISE_T:
        return None
    return float(fits.rise[number]), series.days[at - 1], series.days[at]


def _crossing(found: LeakAnswer, kind: int, crossed: Crossings, number: int) -> Crossing | None:
    if kind not in (LEAK, LOSS) or found.series.limit is None:
        return None
    return Crossing(
        when=_day(float(crossed.when[number])),
        earliest=_day(float(crossed.earliest[number])),
        latest=_day(float(crossed.latest[number]), up=True),
        bounded=bool(crossed.bounded[number]),
    )


def _rate(found: LeakAnswer, kind: int) -> dict[str, Any]:
    volume, slope = found.series.facts.free_volume_m3, found.slope
    if kind not in (LEAK, LOSS) or volume is None or slope is None or not slope < 0 or found.series.evidence != "pressure":
        return {}
    rate = std_cm3_s(-slope, free_volume_m3=volume)
    return {"leak_rate_std_cm3_s": rate, "bubble_test": bubble_test(rate)}


# -- the verdict


def _judged(found: LeakAnswer, kind: int, on: date) -> LeakAnswer:
    """The first rule that fits decides."""
    assert found.level is not None and found.level_high is not None and found.level_low is not None, "a fitted unit has a level"
    limit = found.series.limit
    if found.rise and kind == NONE:  # a charge that is not on record hides a leak
        return replace(found, verdict="unknown", kind="unknown", why="rise", next_reading=None)
    if found.series.evidence == "pressure" and found.series.values[-1] <= 3 * _PSI:
        return replace(found, verdict="fail", why="empty")
    if limit is not None and found.level_high < limit:
        return replace(found, verdict="fail", why="below")
    if kind != NONE and _dissolves(found):
        return replace(found, kind="dissolution-pending", verdict="too-close", why="dissolution", crossing=None)
    if found.last_low:
        again = NextReading(on=on, why="the last reading stands alone, far below the others")
        return replace(found, verdict="too-close", why="last-low", next_reading=again)
    if kind == NONE:
        return _none(found, on)
    sure = (found.probabilities["none"] or 0.0) <= SURE_NONE
    judged = replace(found, verdict="fail" if sure else "too-close", why="shown" if sure else "likely")
    return replace(judged, next_reading=_next(judged, kind, on))


def _dissolves(found: LeakAnswer) -> bool:
    """Whether solution in the water may be all of the loss: what is left beyond it is not significant."""
    if found.dissolution is None or found.line is None:
        return False
    from pinseal.physics.leaks import t_quantile

    span = year_of(found.series.days[-1]) - year_of(found.series.days[0])
    q = float(t_quantile(0.95, np.array([found.line.df]))[0])
    if found.kind == "one-off-loss":
        return -found.line.step - found.dissolution <= q * found.line.scatter * max(found.series.u)
    return -found.line.slope * span - found.dissolution <= q * found.line.slope_se * span


def _hidden(found: LeakAnswer, on: date) -> tuple[float, bool]:
    """The slope that matters (it would meet the limit within a year, or 6 % a year), and whether these readings rule it out."""
    assert found.level is not None and found.line is not None and found.slope_low is not None, "a fitted unit has a line"
    limit = found.series.limit
    if limit is None:
        matters = -HIDDEN_SHARE * max(abs(found.series.values[0]), 1e-3)
        return matters, found.slope_low >= matters
    ahead = max(year_of(on), year_of(found.series.days[-1])) + 1.0
    at, reach = outlook.line(found.line, ahead, level=0.90)
    matters = (limit - found.level) / max(ahead - year_of(found.series.days[-1]), 0.1)
    return min(matters, 0.0), at - reach >= limit


def _none(found: LeakAnswer, on: date) -> LeakAnswer:
    assert found.line is not None, "a fitted unit has a line"
    matters, ruled_out = _hidden(found, on)
    if ruled_out:
        return replace(found, verdict="pass", why="none")
    return replace(
        found, verdict="too-close", why="could-hide", next_reading=_showing(found, matters, on, "shows or rules out such a leak")
    )


def _start(found: LeakAnswer, on: date) -> float:
    return max(year_of(on), year_of(found.series.days[-1]) + 7 / YEAR_DAYS)


def _showing(found: LeakAnswer, slope: float, on: date, why: str, *, one_sided: bool = True) -> NextReading | None:
    assert found.line is not None, "a fitted unit has a line"
    if slope >= 0:
        return None
    year = outlook.reading_that_shows(found.line, slope=slope, u=found.series.u[-1], not_before_year=_start(found, on), one_sided=one_sided)
    day = None if year is None else _day(year, up=True)
    return None if day is None else NextReading(on=day, why=why)


def _next(found: LeakAnswer, kind: int, on: date) -> NextReading | None:
    """What one more reading, and when, would settle it."""
    assert found.line is not None and found.slope is not None, "a fitted unit has a line"
    if kind in (LOSS, EVENT):
        told = outlook.reading_that_tells(found.line, u=found.series.u[-1], not_before_year=_start(found, on))
        day = None if told is None else _day(told[0], up=True)
        if told is not None and day is not None and (kind == LOSS or (found.probabilities["slow_leak"] or 0.0) > 0.05):
            return NextReading(on=day, value=told[1], below="slow leak", above="one-off loss", why="tells a slow leak from a one-off loss")
        if kind == EVENT:
            return None
    if found.crossing is not None and not found.crossing.bounded:
        return _showing(found, found.line.slope, on, "bounds the day on which the limit is met", one_sided=False)
    return None if kind == LEAK and found.verdict == "fail" else _showing(found, found.line.slope, on, "confirms the loss")


def expected_by_chance(answers: Sequence[LeakAnswer]) -> float:
    """How many alarms chance alone gives where nothing leaks: 5 % of the units that could be judged."""
    return 0.05 * sum(answer.kind != "unknown" for answer in answers)
