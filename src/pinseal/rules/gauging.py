"""The verdict on a gauge: is the charge there, whatever the weather?

Expected is what a full unit shows here and now; the difference is reading minus expected; U (k = 2) holds gauge, thermometer and, where a
class is given, shell and weather. Pass up to 0.8 U, fail above 1.2 U, too close between. Whether the needle stands in the printed
band is told beside the verdict and decides on the tag.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K
from pinseal.physics import clean_agents, water_units
from pinseal.physics.gas import check_temperature
from pinseal.physics.gas_forms import T_K_MAX, T_K_MIN
from pinseal.reasons import Refusal
from pinseal.rules.gauge_models import BRINES, ChargedState, CleanAgentModel, DryModel, GaugeModel, WaterModel, medium_of

PSI = float(PSI_PA)
COVERAGE = 2.0
PASS_SHARE, FAIL_SHARE = 0.8, 1.2
# Without a class: gauge, eye, shell and weather together (common practice, no source).
PLAIN_GAUGE_U_PA = 2.5 * PSI
THERMOMETER_U_K = 1.5
# With a class: what the shell and the gas law leave out, and how far weather moves the air (half-widths).
SHELL_SHARE, WEATHER_PA = 0.003, 3000.0
_ROOT_3 = math.sqrt(3.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeAsked:
    """One reading with all that is said about the unit. Pressures are gauge [Pa] unless the name says absolute."""

    reading_gauge_pa: float
    t_k: float
    charge_gauge_pa: float | None = None
    charged_t_k: float = T_70F_K
    gas: str = "nitrogen"
    medium: str | None = None
    agent: str | None = None
    fill_kg_m3: float | None = None
    ullage_share: float = 0.25
    age_days: int | None = None
    stirred: bool = False
    atmosphere_abs_pa: float = ATM_PA
    charged_atmosphere_abs_pa: float = ATM_PA
    band_gauge_pa: tuple[float, float] | None = None
    class_percent: float | None = None
    range_pa: float | None = None
    last: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """How far the unit moved since its last readings, all referred to 70 F; the verdict says steady, moved or too-close."""

    change_pa: float
    uncertainty_pa: float
    readings: int
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeVerdict:
    """The answer. `kind` names which story is told: dry, water, clean-agent, co2, or why nothing is known.

    Over water a full unit may stand anywhere in `full_between_gauge_pa`, by whether it was topped up after stirring; expected is then
    the nearest of these to the reading.
    """

    verdict: str
    medium: str
    kind: str
    on_dial: str
    expected_gauge_pa: float | None = None
    full_between_gauge_pa: tuple[float, float] | None = None
    at_rest_gauge_pa: float | None = None
    referred_gauge_pa: float | None = None
    difference_pa: float | None = None
    uncertainty_pa: float | None = None
    water_share: float | None = None
    change: Change | None = None
    because: tuple[str, ...] = ()


def _unusable(what: str, rule: str, got: str, do: str) -> Refusal:
    return Refusal(what=what, rule=rule, got=got, do=do)


def _psi(pa: float) -> str:
    return f"{pa / PSI:.1f} psi"


def _check_gauge(asked: GaugeAsked) -> None:
    if (asked.class_percent is None) != (asked.range_pa is None):
        raise _unusable(
            "half of the gauge is said",
            "a class is a percent of the range of the dial, so both are needed",
            "class without range" if asked.range_pa is None else "range without class",
            "give --gauge-class and --gauge-range, or neither",
        )
    if asked.class_percent is None or asked.range_pa is None:
        return
    if not 0.0 < asked.class_percent <= 10.0:
        raise _unusable(
            "this is not a class of a gauge", "above 0 and at most 10 percent of the range", f"{asked.class_percent:g}", "read the dial"
        )
    if not asked.range_pa > 0.0 or asked.reading_gauge_pa > asked.range_pa:
        raise _unusable(
            "the reading lies outside the range of the gauge",
            "a needle stands between zero and the end of the dial",
            f"{_psi(asked.reading_gauge_pa)} on a dial to {_psi(asked.range_pa)}",
            "check the reading and the range; a needle at its stop has measured nothing",
        )


def _check_band(asked: GaugeAsked) -> None:
    if asked.band_gauge_pa is None:
        return
    low, high = asked.band_gauge_pa
    if not 0.0 < low < high:
        raise _unusable(
            "this is not an operable band", "two marks above zero, the lower one first", f"{_psi(low)} to {_psi(high)}", "read the dial"
        )


def _check(asked: GaugeAsked, medium: str) -> None:
    """Raises `Refusal` for what cannot be a reading, before anything is said about it."""
    if not asked.reading_gauge_pa >= 0.0:
        raise _unusable(
            "a gauge on a shell does not read below zero",
            "a reading is counted from the air around the gauge",
            _psi(asked.reading_gauge_pa),
            "read again; say psia only where the instrument shows absolute pressure",
        )
    if medium == "co2" or asked.gas == "co2":
        return
    if asked.charge_gauge_pa is None or not asked.charge_gauge_pa > 0.0:
        raise _unusable(
            "the nameplate pressure is missing" if asked.charge_gauge_pa is None else "the nameplate pressure must be above zero",
            "a reading is judged against the charge pressure on the nameplate",
            "nothing" if asked.charge_gauge_pa is None else _psi(asked.charge_gauge_pa),
            'give it as in --charge "195 psi"',
        )
    if not 0.0 < asked.ullage_share < 1.0:
        raise _unusable(
            "the ullage share is not one",
            "the part of the shell above the liquid, between 0 and 1",
            f"{asked.ullage_share:g}",
            "write it as in 0.25",
        )
    if asked.age_days is not None and asked.age_days < 0:
        raise _unusable(
            "the unit was charged after the day asked", "the charge comes first", f"{-asked.age_days} days later", "check both dates"
        )


def on_dial(reading_gauge_pa: float, band_gauge_pa: tuple[float, float] | None) -> str:
    """Where the needle stands: in, below, above, or not-given. The marks themselves are in.

    >>> on_dial(150.0, (150.0, 210.0)), on_dial(149.0, (150.0, 210.0)), on_dial(1.0, None)
    ('in', 'below', 'not-given')
    """
    if band_gauge_pa is None:
        return "not-given"
    low, high = band_gauge_pa
    return "below" if reading_gauge_pa < low else "above" if reading_gauge_pa > high else "in"


def three_way(difference: float, uncertainty: float) -> str:
    """Pass up to 0.8 U, fail above 1.2 U, too-close between.

    >>> three_way(0.8, 1.0), three_way(-1.0, 1.0), three_way(1.2, 1.0), three_way(-1.3, 1.0)
    ('pass', 'too-close', 'too-close', 'fail')
    """
    away = abs(difference)
    return "pass" if away <= PASS_SHARE * uncertainty else "fail" if away > FAIL_SHARE * uncertainty else "too-close"


def _gauge_u_pa(asked: GaugeAsked) -> float:
    """Standard uncertainty of a reading as such, without the thermometer [Pa]."""
    if asked.class_percent is None or asked.range_pa is None:
        return PLAIN_GAUGE_U_PA
    shell = SHELL_SHARE * (asked.reading_gauge_pa + asked.atmosphere_abs_pa)
    return math.hypot(asked.class_percent / 100.0 * asked.range_pa, shell, WEATHER_PA) / _ROOT_3


def _slope_pa_k(model: GaugeModel, t_k: float, low_k: float, high_k: float) -> float:
    """How much of the expected pressure one kelvin moves, inside the range of the model."""
    cold, warm = max(low_k, t_k - 0.5), min(high_k, t_k + 0.5)
    return (model.expected_gauge_pa(warm) - model.expected_gauge_pa(cold)) / (warm - cold)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sum:
    """The model chosen, its range of temperature, and its own error as a share of the gauge pressure (k = 2)."""

    kind: str
    model: GaugeModel
    low_k: float
    high_k: float
    band_share: float = 0.0
    at_rest: WaterModel | None = None
    topped_up: WaterModel | None = None


def _uncertainty_pa(asked: GaugeAsked, chosen: _Sum, expected_pa: float) -> float:
    thermometer = _slope_pa_k(chosen.model, asked.t_k, chosen.low_k, chosen.high_k) * THERMOMETER_U_K
    return math.hypot(COVERAGE * _gauge_u_pa(asked), COVERAGE * thermometer, chosen.band_share * expected_pa)


def _water_sum(asked: GaugeAsked, charge: ChargedState) -> _Sum:
    """The least that has dissolved: by age alone where it stood still, all of it where it was stirred."""
    sure = 1.0 if asked.stirred else 0.0 if asked.age_days is None else water_units.still_share(days=asked.age_days)
    model = WaterModel(charge=charge, ullage_share=asked.ullage_share, share=sure)
    at_rest = replace(model, share=1.0)
    return _Sum(
        kind="water",
        model=model,
        low_k=water_units.T_K_MIN,
        high_k=water_units.T_K_MAX,
        at_rest=at_rest,
        topped_up=replace(at_rest, topped_up=True),
    )


def _halocarbon_sum(asked: GaugeAsked, charge: ChargedState) -> _Sum | str:
    """The sum, or the story why there is none."""
    if asked.agent is None or asked.fill_kg_m3 is None:
        return "fill-not-said"
    if asked.agent not in clean_agents.AGENTS:
        return "no-agent-model"
    if asked.t_k < clean_agents.T_K_MIN - 1e-6:
        return "too-cold"
    if asked.gas != "nitrogen":
        raise _unusable("the clean agent model knows nitrogen alone", "gas is nitrogen", asked.gas, "use the maker's chart")
    model = CleanAgentModel(charge=charge, agent=asked.agent, fill_kg_m3=asked.fill_kg_m3)
    share = clean_agents.band_share(asked.agent, t_k=asked.t_k)
    return _Sum(kind="clean-agent", model=model, low_k=clean_agents.T_K_MIN, high_k=clean_agents.T_K_MAX, band_share=share)


def _choose(asked: GaugeAsked, medium: str) -> _Sum | str:
    if medium == "co2" or asked.gas == "co2":
        return "co2"
    assert asked.charge_gauge_pa is not None, "checked before"
    charge = ChargedState(
        gas=asked.gas,
        gauge_pa=asked.charge_gauge_pa,
        t_k=asked.charged_t_k,
        atmosphere_pa=asked.charged_atmosphere_abs_pa,
        now_atmosphere_pa=asked.atmosphere_abs_pa,
    )
    if medium == "halocarbon":
        return _halocarbon_sum(asked, charge)
    if asked.agent in BRINES:
        return "brine"
    if medium in ("water", "foam"):
        return _water_sum(asked, charge)
    check_temperature(asked.t_k)
    return _Sum(kind="dry", model=DryModel(charge=charge), low_k=T_K_MIN, high_k=T_K_MAX)


def _water_verdict(plain: str, reading_pa: float, expected_pa: float, at_rest_pa: float, uncertainty_pa: float) -> str:
    """What solution could still explain is too close, never a fail."""
    explained = reading_pa < expected_pa and reading_pa - at_rest_pa >= -FAIL_SHARE * uncertainty_pa
    return "too-close" if plain == "fail" and explained else plain


def _referred(chosen: _Sum, gauge_pa: float, t_k: float) -> float | None:
    """A reading at 70 F, at the elevation of the charge; None where a clean agent unit shows less than its own vapour."""
    try:
        return chosen.model.referred_gauge_pa(gauge_pa, t_k, T_70F_K)
    except Refusal:
        if chosen.kind == "clean-agent":
            return None
        raise


def _change(asked: GaugeAsked, chosen: _Sum, referred_pa: float, uncertainty_pa: float) -> Change | None:
    if not asked.last:
        return None
    before = [p for p in (_referred(chosen, gauge_pa, t_k) for gauge_pa, t_k in asked.last) if p is not None]
    if not before:
        return None
    spread = uncertainty_pa * math.sqrt(1.0 + 1.0 / len(before))
    moved = referred_pa - sum(before) / len(before)
    word = {"pass": "steady", "fail": "moved", "too-close": "too-close"}[three_way(moved, spread)]
    return Change(change_pa=moved, uncertainty_pa=spread, readings=len(before), verdict=word)


def _full(asked: GaugeAsked, chosen: _Sum) -> tuple[float, float]:
    """Least and greatest that a full unit may show now: one figure, but over water two."""
    one = chosen.model.expected_gauge_pa(asked.t_k)
    other = one if chosen.topped_up is None else chosen.topped_up.expected_gauge_pa(asked.t_k)
    return min(one, other), max(one, other)


def _as_it_stands(asked: GaugeAsked, chosen: _Sum, low: float, high: float) -> _Sum:
    """The water model that the reading lies nearest to."""
    if chosen.topped_up is None or asked.reading_gauge_pa < (low + high) / 2.0:
        return chosen
    return replace(chosen, model=chosen.topped_up)


def _judged(asked: GaugeAsked, medium: str, chosen: _Sum) -> GaugeVerdict:
    low, high = _full(asked, chosen)
    expected = min(max(asked.reading_gauge_pa, low), high)
    uncertainty = _uncertainty_pa(asked, chosen, expected)
    at_rest = chosen.at_rest.expected_gauge_pa(asked.t_k) if chosen.at_rest else None
    difference = asked.reading_gauge_pa - expected
    plain = three_way(difference, uncertainty)
    verdict = plain if at_rest is None else _water_verdict(plain, asked.reading_gauge_pa, expected, at_rest, uncertainty)
    stands = _as_it_stands(asked, chosen, low, high)
    referred = _referred(stands, asked.reading_gauge_pa, asked.t_k)
    return GaugeVerdict(
        verdict=verdict,
        medium=medium,
        kind=chosen.kind,
        on_dial=on_dial(asked.reading_gauge_pa, asked.band_gauge_pa),
        expected_gauge_pa=expected,
        full_between_gauge_pa=(low, high),
        at_rest_gauge_pa=at_rest,
        referred_gauge_pa=referred,
        difference_pa=difference,
        uncertainty_pa=uncertainty,
        water_share=chosen.model.share if isinstance(chosen.model, WaterModel) else None,
        change=None if referred is None else _change(asked, stands, referred, uncertainty),
    )


def judge_gauge(asked: GaugeAsked, *, system: str = "us") -> GaugeVerdict:
    """Judge one reading. Raises `Refusal` for bad input and outside a model's range; `system` is of the sentences alone.

    Source of the limits 0.8 U and 1.2 U: our own convention, a guard band in the manner of JCGM 106:2012.
    """
    from pinseal.rules.gauge_words import gauge_sentences

    medium = medium_of(asked.agent, asked.medium)
    _check(asked, medium)
    _check_gauge(asked)
    _check_band(asked)
    chosen = _choose(asked, medium)
    if isinstance(chosen, str):
        answer = GaugeVerdict(verdict="unknown", medium=medium, kind=chosen, on_dial=on_dial(asked.reading_gauge_pa, asked.band_gauge_pa))
    else:
        answer = _judged(asked, medium, chosen)
    return replace(answer, because=tuple(gauge_sentences(asked, answer, system)))
