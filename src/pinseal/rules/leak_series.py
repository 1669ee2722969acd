"""From readings as they were taken to series that can be compared: by unit and gauge, since the last charge, referred to 70 F.

Pressure is the evidence for stored-pressure units; weight is it where pressure tells nothing (carbon dioxide, halocarbons). What cannot be
used is set aside and said, never dropped in silence. Water and foam units are referred with the swelling and the solution of their gas.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

import numpy as np

from pinseal.dates import day_number
from pinseal.measures import ATM_PA, T_70F_K
from pinseal.physics import gas as gases
from pinseal.physics import water_units
from pinseal.physics.gas_forms import FORMS, T_K_MAX, T_K_MIN
from pinseal.physics.leaks import Readings

MEDIA = ("powder", "water", "foam", "co2", "halocarbon")
YEAR_DAYS = 365.25
ULLAGE_SHARE = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One visit's figures for a unit, as read: gauge pressure [Pa], the shell's temperature [K], weight [kg]; None where not taken."""

    day: date
    gauge_pa: float | None = None
    t_k: float | None = None
    gauge: str = ""
    weight_kg: float | None = None
    scale: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFacts:
    """What is said once about a unit. `low_gauge_pa` [Pa] at 70 F and `low_weight_kg` are the least that its nameplate allows."""

    unit: str
    medium: str = "powder"
    gas: str = "nitrogen"
    low_gauge_pa: float | None = None
    low_weight_kg: float | None = None
    free_volume_m3: float | None = None
    ullage_share: float | None = None
    charged: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertainty:
    """Standard uncertainties of one reading: gauge [Pa], thermometer [K], scale [kg]. 2.5 psi and 1.5 K: common practice, no source."""

    gauge_pa: float = 2.5 * 6894.757293168361
    thermometer_k: float = 1.5
    scale_kg: float = 0.028


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """The readings of one unit that can be compared: values in Pa at 70 F or in kg, in order of time."""

    facts: UnitFacts
    evidence: str
    days: tuple[date, ...]
    values: tuple[float, ...]
    u: tuple[float, ...]
    gauges: tuple[str, ...]
    weights: tuple[tuple[date, str, float], ...] = ()
    set_aside: tuple[str, ...] = ()
    caution: str = ""
    scale_u_kg: float = 0.028

    @property
    def limit(self) -> float | None:
        return self.facts.low_weight_kg if self.evidence == "weight" else self.facts.low_gauge_pa


@dataclass(slots=True)
class _Gathering:
    """A unit's readings on the way: what is kept, and why the others were set aside."""

    kept: list[Reading] = field(default_factory=list)
    reasons: Counter[str] = field(default_factory=Counter)

    def said(self) -> tuple[str, ...]:
        return tuple(f"{count} reading{'s' if count > 1 else ''} {why}" for why, count in self.reasons.items())


def _since_charge(facts: UnitFacts, readings: Sequence[Reading]) -> _Gathering:
    found = _Gathering()
    for reading in sorted(readings, key=lambda r: r.day):
        if facts.charged and reading.day < facts.charged:
            found.reasons["before the last charge, another filling"] += 1
        else:
            found.kept.append(reading)
    return found


def _why_not(reading: Reading, facts: UnitFacts) -> str | None:
    """Why a pressure cannot be referred to 70 F; None where it can."""
    if reading.gauge_pa is None:
        return "without a pressure" if reading.weight_kg is None else ""
    if reading.t_k is None:
        return "without a temperature, so weather and leak cannot be told apart"
    wet = facts.medium in ("water", "foam")
    low, high = (water_units.T_K_MIN, water_units.T_K_MAX) if wet else (T_K_MIN, T_K_MAX)
    if not low <= reading.t_k <= high:
        return f"outside {low:g} to {high:g} K, the range of the {'water' if wet else 'gas'} model"
    return None


def build(facts: UnitFacts, readings: Sequence[Reading], uncertainty: Uncertainty) -> Series:
    """The comparable series of one unit. Raises `Refusal` for a pressure outside the gas model."""
    found = _since_charge(facts, readings)
    weights = tuple((r.day, r.scale, r.weight_kg) for r in found.kept if r.weight_kg is not None)
    by_weight = facts.medium in ("co2", "halocarbon")
    usable = [] if by_weight else _usable(found, facts)
    if by_weight or (len(usable) < 3 <= len(weights)):
        return _of_weights(facts, weights, uncertainty, found.said())
    values, u, caution = _referred(facts, usable, uncertainty)
    return Series(
        facts=facts,
        evidence="pressure",
        days=tuple(r.day for r in usable),
        values=values,
        u=u,
        gauges=tuple(r.gauge for r in usable),
        weights=weights,
        set_aside=found.said(),
        caution=caution,
        scale_u_kg=uncertainty.scale_kg,
    )


def _usable(found: _Gathering, facts: UnitFacts) -> list[Reading]:
    usable = []
    for reading in found.kept:
        why = _why_not(reading, facts)
        if why is None:
            usable.append(reading)
        elif why:
            found.reasons[why] += 1
    return usable


def _of_weights(facts: UnitFacts, weights: tuple[tuple[date, str, float], ...], uncertainty: Uncertainty, said: tuple[str, ...]) -> Series:
    return Series(
        facts=facts,
        evidence="weight",
        days=tuple(day for day, _, _ in weights),
        values=tuple(kg for _, _, kg in weights),
        u=(uncertainty.scale_kg,) * len(weights),
        gauges=tuple(scale for _, scale, _ in weights),
        set_aside=said,
    )


def _referred(facts: UnitFacts, readings: list[Reading], uncertainty: Uncertainty) -> tuple[tuple[float, ...], tuple[float, ...], str]:
    """Readings at 70 F [Pa], their standard uncertainties [Pa], and what that rests on."""
    if not readings:
        return (), (), ""
    gauge_pa = np.array([r.gauge_pa for r in readings], dtype=np.float64)
    t_k = np.array([r.t_k for r in readings], dtype=np.float64)
    by_temperature = (gauge_pa + ATM_PA) / t_k * uncertainty.thermometer_k
    u = np.hypot(uncertainty.gauge_pa, by_temperature)
    if facts.medium not in ("water", "foam"):
        values = gases.refer_gauge_pa(facts.gas, gauge_pa=gauge_pa, t_k=t_k, to_t_k=T_70F_K)
        return tuple(values.tolist()), tuple(u.tolist()), ""
    share = facts.ullage_share or ULLAGE_SHARE
    pairs = [_water_pair(facts, r, share) for r in readings]
    spread = np.array([abs(a - b) / 12**0.5 for a, b in pairs])
    said = "" if facts.ullage_share else f"the free volume is taken as {ULLAGE_SHARE:.0%} of the shell (common practice, no source)"
    return tuple((a + b) / 2 for a, b in pairs), tuple(np.hypot(u, spread).tolist()), said


def _water_pair(facts: UnitFacts, reading: Reading, share: float) -> tuple[float, float]:
    """A water unit's reading at 70 F with the least and the most of the solution that its age allows."""
    assert reading.gauge_pa is not None and reading.t_k is not None, "only a usable reading is referred"
    least = water_units.still_share(days=(reading.day - facts.charged).days) if facts.charged else 1.0
    pressure, temperature = round(reading.gauge_pa, 1), round(reading.t_k, 3)
    return _water_at_70f(facts.gas, pressure, temperature, share, round(least, 3)), _water_at_70f(
        facts.gas, pressure, temperature, share, 1.0
    )


@lru_cache(maxsize=100_000)
def _water_at_70f(gas: str, gauge_pa: float, t_k: float, ullage_share: float, solved: float) -> float:
    abs_pa = gauge_pa + ATM_PA
    blank = water_units.charged(gas, abs_pa=ATM_PA, t_k=T_70F_K, ullage_share=ullage_share)
    now = water_units.from_reading(blank, abs_pa=abs_pa, t_k=t_k, share=solved)
    return water_units.pressure_abs_pa(now, t_k=T_70F_K, share=solved) - ATM_PA


def dissolution_pa(series: Series) -> float | None:
    """What solution alone may still have taken between the first and the last reading [Pa]: from the least that can have dissolved
    before the first reading (still water, diffusion alone) to rest. None where the unit holds no water or its charge has no date.
    """
    facts = series.facts
    if facts.medium not in ("water", "foam") or facts.charged is None or not series.values or series.evidence != "pressure":
        return None
    abs_pa = min(max(series.values[0], 0.0) + ATM_PA, FORMS[facts.gas].shell.abs_pa_max)
    state = water_units.charged(facts.gas, abs_pa=abs_pa, t_k=T_70F_K, ullage_share=facts.ullage_share or ULLAGE_SHARE)
    before = water_units.still_share(days=max((series.days[0] - facts.charged).days, 0))
    fresh, rest = (water_units.pressure_abs_pa(state, t_k=T_70F_K, share=share) for share in (before, 1.0))
    return max(fresh - rest, 0.0)


def year_of(day: date) -> float:
    """A day as years since 1900, for slopes per year of 365.25 days."""
    return day_number(day) / YEAR_DAYS


def columns(all_series: Iterable[Series]) -> Readings:
    """Many series as the columns of one fit. Each series needs at least one reading."""
    unit: list[int] = []
    gauge: list[int] = []
    year: list[float] = []
    value: list[float] = []
    u: list[float] = []
    for number, series in enumerate(all_series):
        names: dict[str, int] = {}
        for name in series.gauges:
            gauge.append(names.setdefault(name, len(names)))
        unit.extend([number] * len(series.days))
        year.extend(year_of(day) for day in series.days)
        value.extend(series.values)
        u.extend(series.u)
    return Readings(
        unit=np.array(unit, dtype=np.int64),
        gauge=np.array(gauge, dtype=np.int64),
        year=np.array(year),
        value=np.array(value),
        u=np.array(u),
    )
