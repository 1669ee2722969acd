"""What stands against a charge, and what a plan may never say."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinseal.dates import parse_date
from pinseal.kinds import AGENTS
from pinseal.measures import PSI_PA, T_70F_K
from pinseal.physics.agent_densities import AGENT_DENSITIES
from pinseal.reasons import Refusal
from pinseal.rules.charge_refusals import REFUSAL_CODES, ChargeAsked, is_past_test_date, mixing_reason
from pinseal.rules.charging import ChargePlan, plan_charge

PSI, LB = float(PSI_PA), 0.45359237


def _f(degrees: float) -> float:
    return (degrees - 32) * 5 / 9 + 273.15


KNOWN = ChargeAsked(
    agent="abc",
    agent_kg=10 * LB,
    water_capacity_m3=0.0064,
    pressure_gauge_pa=195 * PSI,
    shell_k=T_70F_K,
    on=date(2026, 11, 24),
    last_agent="abc",
    has_regulator=True,
    regulator_gauge_pa=220 * PSI,
    dew_point_k=_f(-65),
    test_due=parse_date("2030-06-30"),
)


def _plan(**but: Any) -> ChargePlan:
    return plan_charge(replace(KNOWN, **but))


def _codes(**but: Any) -> list[str]:
    return [refusal.code for refusal in _plan(**but).refusals]


def test_where_everything_is_known_and_right_the_unit_may_be_charged() -> None:
    plan = _plan()
    assert plan.may_charge and plan.refusals == () and plan.missing == ()
    assert plan.target_gauge_pa == pytest.approx(195 * PSI)
    assert plan.stop_at_gauge_pa is not None and 195 * PSI < plan.stop_at_gauge_pa < 202 * PSI
    assert plan.settles_at_gauge_pa == pytest.approx(195 * PSI, abs=10)
    assert not plan.top_up


@pytest.mark.parametrize(
    ("but", "code"),
    [
        ({"test_due": parse_date("2026-11-23")}, "past-test-date"),
        ({"test_due": parse_date("2026")}, "past-test-date"),
        ({"test_due": parse_date("2026-11")}, "past-test-date"),
        ({"regulator_gauge_pa": 220.01 * PSI}, "above-ceiling"),
        ({"shell_k": _f(132)}, "above-ceiling"),
        ({"condemned": True}, "condemned"),
        ({"nonrechargeable": True}, "nonrechargeable"),
        ({"has_regulator": False, "regulator_gauge_pa": None}, "no-regulator"),
        ({"gas": "air"}, "wrong-gas"),
        ({"gas": "argon"}, "wrong-gas"),
        ({"gas": "oxygen"}, "wrong-gas"),
        ({"gas": "nitrogen", "nameplate_gas": "argon"}, "wrong-gas"),
        ({"gas": "oxygen", "nameplate_gas": "oxygen"}, "wrong-gas"),
        ({"dew_point_k": _f(-59)}, "moist-gas"),
        ({"wheeled": True}, "moist-gas"),
        ({"nameplate_dew_point_k": _f(-66)}, "moist-gas"),
        ({"last_agent": "sodium-bicarbonate"}, "agent-family"),
        ({"last_agent": "sodium-bicarbonate", "maker_permits": "manual 7, page 3"}, "agent-family"),
        ({"agent": "potassium-bicarbonate", "last_agent": "sodium-bicarbonate"}, "agent-family"),
        ({"agent": "dry-chemical", "last_agent": "dry-chemical", "density_kg_m3": 1900.0}, "agent-family"),
        ({"water_capacity_m3": 0.0026}, "overfilled"),
        ({"agent": "co2", "last_agent": "co2"}, "not-by-pressure"),
        ({"agent": "soda-acid", "last_agent": "soda-acid"}, "not-by-pressure"),
        ({"agent": "halon-1211", "last_agent": "halon-1211"}, "no-density"),
        ({"agent": "halocarbon-hfc-236fa", "last_agent": "halocarbon-hfc-236fa"}, "no-density"),
        ({"agent": "wet-chemical", "last_agent": "wet-chemical"}, "no-density"),
    ],
)
def test_what_stands_against_a_charge(but: dict[str, Any], code: str) -> None:
    plan = _plan(**but)
    assert [refusal.code for refusal in plan.refusals] == [code]
    assert plan.because == (plan.refusals[0].because,)
    assert not plan.may_charge


@pytest.mark.parametrize(
    "but",
    [
        {"test_due": parse_date("2026-11-24")},
        {"test_due": parse_date("2027")},
        {"test_due": parse_date("2026-12")},
        {"regulator_gauge_pa": 220 * PSI},
        {"dew_point_k": _f(-60)},
        {"wheeled": True, "dew_point_k": _f(-70)},
        {"gas": "argon", "nameplate_gas": "argon"},
        {"agent": "water", "last_agent": "water", "gas": "air", "dew_point_k": None},
        {"agent": "water", "last_agent": "water", "dew_point_k": _f(20)},
        {"agent": "potassium-bicarbonate", "last_agent": "sodium-bicarbonate", "maker_permits": "manual 7, page 3"},
        {"agent": "wet-chemical", "last_agent": "wet-chemical", "density_kg_m3": 1300.0},
        {"shell_k": _f(129)},
    ],
)
def test_what_does_not_stand_against_it(but: dict[str, Any]) -> None:
    plan = _plan(**but)
    assert plan.refusals == ()
    assert plan.may_charge


@pytest.mark.parametrize(
    ("but", "missing"),
    [
        ({"last_agent": None}, ("last agent",)),
        ({"has_regulator": None, "regulator_gauge_pa": None}, ("regulator",)),
        ({"dew_point_k": None}, ("dew point",)),
        ({"test_due": None}, ("test due",)),
        ({"last_agent": None, "test_due": None}, ("last agent", "test due")),
    ],
)
def test_what_is_not_said_is_missing_and_the_target_still_shown(but: dict[str, Any], missing: tuple[str, ...]) -> None:
    plan = _plan(**but)
    assert plan.missing == missing
    assert not plan.may_charge
    assert plan.refusals == ()
    assert plan.target_gauge_pa == pytest.approx(195 * PSI)


def test_every_refusal_is_given_at_once() -> None:
    codes = _codes(
        agent="sodium-bicarbonate",
        condemned=True,
        nonrechargeable=True,
        test_due=parse_date("2020"),
        has_regulator=False,
        regulator_gauge_pa=300 * PSI,
        gas="oxygen",
        dew_point_k=_f(0),
        water_capacity_m3=0.002,
    )
    assert codes == [
        "condemned", "nonrechargeable", "past-test-date", "no-regulator", "above-ceiling", "wrong-gas", "moist-gas", "agent-family",
        "overfilled",
    ]  # fmt: skip


def test_the_stop_is_the_ceiling_where_heat_would_need_more_and_the_plan_says_top_up() -> None:
    plan = plan_charge(KNOWN, pairs=[(200 * PSI, 158 * PSI)])
    assert plan.stop_at_gauge_pa == pytest.approx(plan.ceiling_gauge_pa, abs=1e-6)
    assert plan.top_up
    assert plan.settles_at_gauge_pa is not None and plan.settles_at_gauge_pa < 195 * PSI
    assert any("top up to 195.0 psi" in line for line in plan.because)


def test_the_regulator_s_setting_is_a_limit_as_well() -> None:
    plan = _plan(regulator_gauge_pa=196 * PSI)
    assert plan.stop_at_gauge_pa == 196 * PSI
    assert plan.top_up
    low = _plan(regulator_gauge_pa=150 * PSI)
    assert any("below the target" in line for line in low.because)


def test_the_nameplate_s_own_ceiling_holds_where_it_is_lower() -> None:
    plan = _plan(nameplate_ceiling_gauge_pa=205 * PSI, regulator_gauge_pa=205 * PSI)
    assert plan.ceiling_gauge_pa == 205 * PSI
    assert any("the nameplate's own limit" in line for line in plan.because)
    assert _plan(nameplate_ceiling_gauge_pa=300 * PSI).ceiling_gauge_pa == pytest.approx(220 * PSI)


def test_e10_in_a_cold_bay_the_needle_is_not_set_to_the_nameplate() -> None:
    plan = _plan(shell_k=_f(32))
    assert plan.target_gauge_pa is not None
    assert plan.target_gauge_pa / PSI == pytest.approx(180, abs=1)
    assert "would stand at 211.9 psi at 70.0 F" in plan.because[0]


def test_a_water_unit_is_told_to_be_inverted_and_its_target_is_the_steady_one() -> None:
    water = {"agent": "water", "last_agent": "water", "agent_kg": 9.44, "water_capacity_m3": 0.01261, "pressure_gauge_pa": 100 * PSI}
    plan = _plan(**water, regulator_gauge_pa=110 * PSI, shell_k=_f(40))
    assert plan.target_gauge_pa is not None and plan.target_gauge_pa / PSI == pytest.approx(91, abs=0.5)
    assert any("invert it several times" in line for line in plan.because)
    assert _codes(**water | {"agent_kg": 12.2}, regulator_gauge_pa=110 * PSI) == ["overfilled"]


def test_a_learned_fraction_is_said_to_be_learned() -> None:
    plan = plan_charge(KNOWN, pairs=[(200 * PSI, 193 * PSI), (199 * PSI, 192 * PSI)])
    assert plan.stirred.pairs == 2
    assert any("learned from 2 charges of this family" in line for line in plan.because)


@pytest.mark.parametrize("day", ["2026-01-01", "2026-06-15"])
def test_a_year_only_test_date_counts_from_its_first_day(day: str) -> None:
    assert is_past_test_date(parse_date("2026"), date.fromisoformat(day))
    assert not is_past_test_date(parse_date("2027"), date.fromisoformat(day))


@pytest.mark.parametrize("agent", [code for code in AGENTS if AGENTS[code].family is None])
def test_an_agent_whose_kind_is_not_said_is_not_even_like_itself(agent: str) -> None:
    assert mixing_reason(agent, agent, None)


def test_no_two_different_agents_go_together_without_a_permission() -> None:
    assert all(mixing_reason(a, b, None) for a in AGENTS for b in AGENTS if a != b)
    assert all(mixing_reason("abc", b, "manual") and mixing_reason(b, "abc", "manual") for b in AGENTS if b.endswith("bicarbonate"))


@pytest.mark.parametrize(
    ("but", "words"),
    [
        ({"pressure_gauge_pa": 0.0}, "nameplate pressure must be above zero"),
        ({"agent_kg": 0.0}, "above zero"),
        ({"water_capacity_m3": 0.0}, "above zero"),
        ({"density_kg_m3": 1.0}, "between 0.5 and 12"),
        ({"agent": "water", "last_agent": "water", "shell_k": _f(20)}, "between 0 and 50 C"),
        ({"shell_k": 200.0}, "213 to 345 K"),
        ({"pressure_gauge_pa": 60e5}, "51 bar"),
    ],
)
def test_what_cannot_be_is_refused_in_words(but: dict[str, Any], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        _plan(**but)


@settings(max_examples=150, deadline=None)
@given(
    agent=st.sampled_from(list(AGENTS)),
    last=st.one_of(st.none(), st.sampled_from(list(AGENTS))),
    psi=st.floats(40, 400),
    kelvin=st.floats(275, 320),
    litres=st.floats(1, 100),
    share=st.floats(0.1, 3.0),
    gas=st.sampled_from(["nitrogen", "argon", "air", "helium", "oxygen", "co2"]),
    regulator=st.one_of(st.none(), st.floats(30, 500)),
)
def test_a_refusal_takes_the_figures_away_and_no_stop_is_above_the_ceiling(
    agent: str, last: str | None, psi: float, kelvin: float, litres: float, share: float, gas: str, regulator: float | None
) -> None:
    plan = _plan(
        agent=agent,
        last_agent=last,
        pressure_gauge_pa=psi * PSI,
        shell_k=kelvin,
        water_capacity_m3=litres / 1000,
        agent_kg=litres * share,
        gas=gas,
        regulator_gauge_pa=None if regulator is None else regulator * PSI,
        has_regulator=None if regulator is None else True,
    )
    figures = (plan.target_gauge_pa, plan.stop_at_gauge_pa, plan.settles_at_gauge_pa, plan.gas_kg, plan.gas_scf)
    assert all(figure is None for figure in figures) == bool(plan.refusals)
    assert {refusal.code for refusal in plan.refusals} <= set(REFUSAL_CODES)
    assert plan.because
    assert plan.ceiling_gauge_pa == pytest.approx((psi + 25) * PSI)
    if plan.stop_at_gauge_pa is not None and plan.target_gauge_pa is not None:
        assert plan.stop_at_gauge_pa <= plan.ceiling_gauge_pa
        assert plan.target_gauge_pa < plan.ceiling_gauge_pa
        assert agent in AGENT_DENSITIES
    assert not (plan.may_charge and (plan.refusals or plan.missing))
