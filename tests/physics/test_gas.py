"""The fitted forms against the library they were fitted to, over their whole range; round trips; refusals at the edges."""

from __future__ import annotations

import subprocess
import sys

import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K, parse_temperature
from pinseal.physics import gas
from pinseal.physics.gas_forms import FORMS, T_K_MAX, T_K_MIN
from pinseal.reasons import Refusal

PSI = float(PSI_PA)
FLUIDS = {"nitrogen": "Nitrogen", "argon": "Argon", "air": "Air", "helium": "Helium"}
# A tenth of the smallest uncertainty of a technician: a test gauge of 0.25 % of 400 psi, so 1 psi, and 1 % of what a bottle holds.
SHELL_ERROR_PA, SUPPLY_ERROR = 0.1 * PSI, 0.001


def kelvin(text: str) -> float:
    return parse_temperature(text).si


def _states(abs_pa_max: float) -> tuple[np.ndarray, np.ndarray]:
    """Edges and inside: every corner of the range and 4,000 states of a low-discrepancy kind."""
    edge = np.array([(t, p) for t in (T_K_MIN, 255.4, T_70F_K, T_K_MAX) for p in np.linspace(0.002, 1.0, 60) * abs_pa_max])
    n = np.arange(4000)
    inside = np.column_stack(
        [T_K_MIN + (T_K_MAX - T_K_MIN) * (n * 0.7548776662 % 1), abs_pa_max * (0.001 + 0.999 * (n * 0.5698402910 % 1))]
    )
    both = np.vstack([edge, inside])
    return both[:, 0], both[:, 1]


@pytest.mark.parametrize("code", gas.GASES)
def test_the_shell_form_holds_over_its_whole_range(code: str) -> None:
    t_k, abs_pa = _states(FORMS[code].shell.abs_pa_max)
    true = PropsSI("D", "T", t_k, "P", abs_pa, FLUIDS[code])
    assert np.abs(gas.density_kg_m3(code, abs_pa=abs_pa, t_k=t_k) / true - 1).max() < 2.5e-5
    inside = abs_pa < 50e5
    back = gas.pressure_abs_pa(code, density_kg_m3=true[inside], t_k=t_k[inside])
    assert np.abs(back - abs_pa[inside]).max() < SHELL_ERROR_PA / 5


@pytest.mark.parametrize("code", gas.GASES)
def test_the_supply_form_holds_over_its_whole_range(code: str) -> None:
    t_k, abs_pa = _states(FORMS[code].supply.abs_pa_max)
    true = PropsSI("D", "T", t_k, "P", abs_pa, FLUIDS[code])
    assert np.abs(gas.supply_density_kg_m3(code, abs_pa=abs_pa, t_k=t_k) / true - 1).max() < SUPPLY_ERROR / 10
    inside = abs_pa < 345e5
    back = gas.supply_pressure_abs_pa(code, density_kg_m3=true[inside], t_k=t_k[inside])
    assert np.abs(back / abs_pa[inside] - 1).max() < SUPPLY_ERROR / 10


@pytest.mark.parametrize("code", gas.GASES)
def test_a_reading_referred_agrees_with_the_reference_equation(code: str) -> None:
    for start_psi in (20.0, 100.0, 195.0, 360.0):
        density = PropsSI("D", "T", T_70F_K, "P", start_psi * PSI + ATM_PA, FLUIDS[code])
        for t_k in (T_K_MIN, 233.15, 255.37, 310.9, T_K_MAX):
            true = PropsSI("P", "T", t_k, "D", density, FLUIDS[code]) - ATM_PA
            assert gas.refer_gauge_pa(code, gauge_pa=start_psi * PSI, t_k=T_70F_K, to_t_k=t_k) == pytest.approx(
                true, abs=SHELL_ERROR_PA / 10
            )


@given(
    st.sampled_from(gas.GASES),
    st.floats(0, 350 * PSI),
    st.floats(T_K_MIN, T_K_MAX),
    st.floats(T_K_MIN, T_K_MAX),
    st.floats(60_000.0, 110_000.0),
)
def test_there_and_back_is_the_same_reading(code: str, gauge_pa: float, t_k: float, to_t_k: float, air_pa: float) -> None:
    there = gas.refer_gauge_pa(code, gauge_pa=gauge_pa, t_k=t_k, to_t_k=to_t_k, atmosphere_pa=air_pa)
    back = gas.refer_gauge_pa(code, gauge_pa=there, t_k=to_t_k, to_t_k=t_k, atmosphere_pa=air_pa)
    assert back == pytest.approx(gauge_pa, abs=1e-6 * PSI)


@given(st.sampled_from(gas.GASES), st.floats(0, 340e5), st.floats(T_K_MIN, T_K_MAX))
def test_supply_density_and_pressure_undo_each_other(code: str, abs_pa: float, t_k: float) -> None:
    density = gas.supply_density_kg_m3(code, abs_pa=abs_pa, t_k=t_k)
    assert gas.supply_pressure_abs_pa(code, density_kg_m3=density, t_k=t_k) == pytest.approx(abs_pa, rel=1e-9, abs=1e-3)


def test_long_arrays_are_worked_in_blocks_with_the_same_answers() -> None:
    gauge_pa, t_k = np.linspace(1e5, 25e5, 40_001), np.linspace(230.0, 320.0, 40_001)
    whole = gas.refer_gauge_pa("nitrogen", gauge_pa=gauge_pa, t_k=t_k, to_t_k=T_70F_K)
    for at in (0, 16_383, 16_384, 40_000):
        one = gas.refer_gauge_pa("nitrogen", gauge_pa=float(gauge_pa[at]), t_k=float(t_k[at]), to_t_k=T_70F_K)
        assert whole[at] == pytest.approx(one, rel=1e-14)


def test_a_curve_over_temperature_is_one_call() -> None:
    at = np.array([kelvin("-40 F"), T_70F_K])
    curve = gas.refer_gauge_pa("nitrogen", gauge_pa=np.full(2, 195 * PSI), t_k=T_70F_K, to_t_k=at)
    assert curve / PSI == pytest.approx([149.87, 195.0], abs=0.02)


# Regressions: figures that we computed, no published answers.


@pytest.mark.parametrize(
    ("at", "psi"),
    [("-65 F", 139.59), ("-40 F", 149.87), ("0 F", 166.30), ("40 F", 182.71), ("100 F", 207.29), ("120 F", 215.47), ("130 F", 219.56)],
)
def test_regression_195_psi_of_nitrogen_in_any_weather(at: str, psi: float) -> None:
    assert gas.refer_gauge_pa("nitrogen", gauge_pa=195 * PSI, t_k=T_70F_K, to_t_k=kelvin(at)) / PSI == pytest.approx(psi, abs=0.02)


def test_regression_referred_to_70_f() -> None:
    assert gas.refer_gauge_pa("nitrogen", gauge_pa=182.71 * PSI, t_k=kelvin("40 F"), to_t_k=T_70F_K) / PSI == pytest.approx(195.0, abs=0.02)


@pytest.mark.parametrize(("code", "cold", "hot"), [("argon", 139.46, 215.51), ("air", 139.56, 215.48), ("helium", 141.58, 214.78)])
def test_regression_other_gases(code: str, cold: float, hot: float) -> None:
    for at, psi in (("-65 F", cold), ("120 F", hot)):
        assert gas.refer_gauge_pa(code, gauge_pa=195 * PSI, t_k=T_70F_K, to_t_k=kelvin(at)) / PSI == pytest.approx(psi, abs=0.02)


def test_regression_15_bar_at_20_c() -> None:
    for at, bar in (("-30 C", 12.159), ("0 C", 13.865), ("40 C", 16.134), ("60 C", 17.268)):
        assert gas.refer_gauge_pa("nitrogen", gauge_pa=15e5, t_k=293.15, to_t_k=kelvin(at)) / 1e5 == pytest.approx(bar, abs=0.001)


def test_regression_a_bottle_cold_from_the_van() -> None:
    referred = gas.refer_supply_gauge_pa("nitrogen", gauge_pa=1900 * PSI, t_k=kelvin("20 F"), to_t_k=T_70F_K)
    assert referred / PSI == pytest.approx(2176, abs=1)


@pytest.mark.parametrize("elevation_m", [-500.0, 0.0, 500.0, 1609.0, 3000.0, 8000.0])
def test_the_air_agrees_with_a_second_code_of_the_standard_atmosphere(elevation_m: float) -> None:
    assert gas.standard_atmosphere_pa(elevation_m) == pytest.approx(fluids.ATMOSPHERE_1976(elevation_m).P, rel=1e-9)


@pytest.mark.parametrize(("elevation_m", "psi"), [(500, 0.85), (1000, 1.66), (1609, 2.60), (2000, 3.17), (3000, 4.53)])
def test_regression_a_sealed_unit_carried_up_reads_high(elevation_m: float, psi: float) -> None:
    air = gas.standard_atmosphere_pa(float(elevation_m))
    up = gas.refer_gauge_pa("nitrogen", gauge_pa=195 * PSI, t_k=T_70F_K, to_t_k=T_70F_K, to_atmosphere_pa=air)
    assert up / PSI - 195 == pytest.approx(psi, abs=0.01)


# Edges and refusals.


@pytest.mark.parametrize(
    ("abs_pa", "t_k", "words"),
    [
        (1e6, T_K_MIN - 0.1, "temperature is outside the range of the gas model"),
        (1e6, T_K_MAX + 0.1, "213 to 345 K"),
        (1e6, float("nan"), "temperature is outside"),
        (51.1e5, 300.0, "up to 740 psia"),
        (-1.0, 300.0, "pressure is outside the range"),
        (float("nan"), 300.0, "pressure is outside the range"),
    ],
)
def test_outside_the_range_we_stop(abs_pa: float, t_k: float, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        gas.density_kg_m3("nitrogen", abs_pa=abs_pa, t_k=t_k)


def test_one_bad_value_in_an_array_is_not_lost() -> None:
    with pytest.raises(Refusal, match="pressure is outside"):
        gas.density_kg_m3("nitrogen", abs_pa=np.array([1e6, np.nan]), t_k=300.0)


def test_the_answer_is_held_to_the_range_too() -> None:
    with pytest.raises(Refusal, match="pressure is outside"):
        gas.refer_gauge_pa("nitrogen", gauge_pa=49e5, t_k=230.0, to_t_k=340.0)
    with pytest.raises(Refusal, match="density is outside"):
        gas.pressure_abs_pa("nitrogen", density_kg_m3=5000.0, t_k=300.0)


def test_gases_without_a_form_are_refused() -> None:
    with pytest.raises(Refusal, match="one of nitrogen, argon, air, helium"):
        gas.require_gas("oxygen")
    with pytest.raises(Refusal, match="condenses in a cold shell"):
        gas.require_gas("co2")
    with pytest.raises(Refusal, match="no extinguisher is kept at this elevation"):
        gas.standard_atmosphere_pa(20_000.0)


def test_a_single_reading_needs_neither_numpy_nor_coolprop() -> None:
    code = (
        "import sys; from pinseal.physics.gas import refer_gauge_pa as r; r('nitrogen', gauge_pa=1e6, t_k=250.0, to_t_k=294.0);"
        "print(sorted({'numpy', 'CoolProp', 'scipy'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
