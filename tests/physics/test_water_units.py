"""Water units: solution and swelling, against other codes of the same equations, and what time alone allows."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95
from iapws._iapws import _Henry

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K, parse_temperature
from pinseal.physics import gas, water_units
from pinseal.reasons import Refusal

PSI = float(PSI_PA)


def kelvin(text: str) -> float:
    return parse_temperature(text).si


def _psi(ullage_share: float, at: str, share: float) -> float:
    charge = water_units.charged("nitrogen", abs_pa=100 * PSI + ATM_PA, t_k=T_70F_K, ullage_share=ullage_share)
    return (water_units.pressure_abs_pa(charge, t_k=kelvin(at), share=share) - ATM_PA) / PSI


@pytest.mark.parametrize(("ours", "theirs"), [("nitrogen", "N2"), ("oxygen", "O2"), ("argon", "Ar"), ("helium", "He")])
def test_henry_agrees_with_another_code(ours: str, theirs: str) -> None:
    for t_k in (280.0, 294.26, 310.0, 323.0):
        assert water_units.henry_pa(ours, t_k) == pytest.approx(_Henry(t_k, theirs) * 1e6, rel=1e-6)


@pytest.mark.parametrize("t_k", [273.16, 277.6, 294.26, 310.0, 323.15])
def test_water_agrees_with_the_reference_equation(t_k: float) -> None:
    assert water_units.vapour_abs_pa(t_k) == pytest.approx(PropsSI("P", "T", t_k, "Q", 0, "Water"), rel=1e-3)
    for abs_pa in (ATM_PA, 20e5):
        true = PropsSI("D", "T", t_k, "P", abs_pa, "Water")
        assert water_units.water_density_kg_m3(t_k=t_k, abs_pa=abs_pa) == pytest.approx(true, rel=5e-6)


def test_water_density_agrees_with_a_second_code() -> None:
    assert water_units.water_density_kg_m3(t_k=300.0, abs_pa=1e6) == pytest.approx(IAPWS95(T=300.0, P=1.0).rho, rel=5e-6)


# Regressions: figures that we computed, no published answers.


@pytest.mark.parametrize(
    ("ullage_share", "at_40", "at_70", "at_100", "at_120"),
    [(0.20, 84.8, 93.7, 103.6, 111.2), (0.25, 86.7, 95.2, 104.5, 111.5), (0.30, 88.1, 96.2, 105.1, 111.7)],
)
def test_regression_a_water_unit_at_rest(ullage_share: float, at_40: float, at_70: float, at_100: float, at_120: float) -> None:
    for at, psi in (("40 F", at_40), ("70 F", at_70), ("100 F", at_100), ("120 F", at_120)):
        assert _psi(ullage_share, at, 1.0) == pytest.approx(psi, abs=0.06)


@pytest.mark.parametrize(("days", "share"), [(1, 0.05), (7, 0.13), (30, 0.27), (90, 0.47), (365, 0.86)])
def test_regression_still_water(days: int, share: float) -> None:
    assert water_units.still_share(days=days) == pytest.approx(share, abs=0.006)


def test_the_short_estimate_of_the_loss_agrees() -> None:
    ratio, ostwald = 0.75 / 0.25, 0.01695
    estimate = (100 * PSI + ATM_PA - 0.79 * ATM_PA) * ostwald * ratio / (1 + ostwald * ratio) / PSI
    assert 100 - _psi(0.25, "70 F", 1.0) == pytest.approx(estimate, abs=0.3)


# Properties.


@given(st.floats(0, 2000), st.floats(0, 2000))
def test_more_time_never_means_less_dissolved(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert 0.0 <= water_units.still_share(days=low) <= water_units.still_share(days=high) + 1e-5 <= 1.0 + 1e-5


@given(st.sampled_from(gas.GASES), st.floats(20, 300), st.floats(274, 323), st.floats(274, 323), st.floats(0.15, 0.6), st.floats(0, 1))
def test_a_reading_gives_back_the_charge_it_came_from(
    code: str, charge_psi: float, from_k: float, to_k: float, ullage_share: float, share: float
) -> None:
    charge = water_units.charged(code, abs_pa=charge_psi * PSI + ATM_PA, t_k=from_k, ullage_share=ullage_share)
    there = water_units.pressure_abs_pa(charge, t_k=to_k, share=share)
    again = water_units.from_reading(charge, abs_pa=there, t_k=to_k, share=share)
    assert again.gas_kmol == pytest.approx(charge.gas_kmol, rel=1e-9)


@given(st.floats(20, 300), st.floats(274, 323), st.floats(0.15, 0.6))
def test_solution_only_ever_lowers_a_charged_unit(charge_psi: float, t_k: float, ullage_share: float) -> None:
    charge = water_units.charged("nitrogen", abs_pa=charge_psi * PSI + ATM_PA, t_k=T_70F_K, ullage_share=ullage_share)
    still, rest = (water_units.pressure_abs_pa(charge, t_k=t_k, share=s) for s in (0.0, 1.0))
    assert rest < still


def test_unstirred_at_the_temperature_of_the_charge_nothing_moves() -> None:
    assert _psi(0.25, "70 F", 0.0) == pytest.approx(100.0, abs=1e-6)


# Refusals.


def test_outside_the_range_we_stop() -> None:
    with pytest.raises(Refusal, match="32 to 122 F"):
        _psi(0.25, "20 F", 1.0)
    with pytest.raises(Refusal, match="ullage share is not one of a water unit"):
        water_units.charged("nitrogen", abs_pa=8e5, t_k=T_70F_K, ullage_share=0.01)
    with pytest.raises(Refusal, match="no gas over the water"):
        water_units.charged("nitrogen", abs_pa=1000.0, t_k=T_70F_K, ullage_share=0.25)
    with pytest.raises(Refusal, match="one of nitrogen"):
        water_units.charged("steam", abs_pa=8e5, t_k=T_70F_K, ullage_share=0.25)


def test_a_pressure_beyond_the_gas_model_is_refused() -> None:
    charge = water_units.charged("nitrogen", abs_pa=50e5, t_k=275.0, ullage_share=0.05)
    with pytest.raises(Refusal, match="leaves the range of the gas model"):
        water_units.pressure_abs_pa(charge, t_k=323.0, share=0.0)
