"""Carbon dioxide: the short equations against the long ones, and why pressure is no evidence."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K, parse_temperature
from pinseal.physics import carbon_dioxide as co2
from pinseal.reasons import Refusal

PSI = float(PSI_PA)


def _psig(fill_kg_l: float, at: str) -> float:
    return (co2.pressure_abs_pa(fill_kg_m3=fill_kg_l * 1000, t_k=parse_temperature(at).si) - ATM_PA) / PSI


@pytest.mark.parametrize("t_k", [217.0, 233.15, 255.37, 273.15, 288.0, 294.26, 300.0, 303.0])
def test_the_short_equations_agree_with_the_long_one(t_k: float) -> None:
    assert co2.saturation_abs_pa(t_k) == pytest.approx(PropsSI("P", "T", t_k, "Q", 0, "CarbonDioxide"), rel=5e-5)
    assert co2.liquid_kg_m3(t_k) == pytest.approx(PropsSI("D", "T", t_k, "Q", 0, "CarbonDioxide"), rel=5e-4)
    assert co2.vapour_kg_m3(t_k) == pytest.approx(PropsSI("D", "T", t_k, "Q", 1, "CarbonDioxide"), rel=5e-4)


# Regressions: figures that we computed, no published answers.


@pytest.mark.parametrize(
    ("fill", "full_f", "psig"),
    [
        (0.60, 85.7, (838, 1307, 1721, 1932, 2338)),
        (0.667, 81.4, (838, 1426, 1940, 2202, 2704)),
        (0.68, 80.26, (838, 1463, 1999, 2272, 2796)),
        (0.75, 71.7, (838, 1783, 2462, 2805, 3462)),
    ],
)
def test_regression_full_units(fill: float, full_f: float, psig: tuple[int, ...]) -> None:
    assert co2.liquid_full_k(fill_kg_m3=fill * 1000) * 1.8 - 459.67 == pytest.approx(full_f, abs=0.05)
    for at, expected in zip(("70 F", "100 F", "120 F", "130 F", "149 F"), psig, strict=True):
        assert _psig(fill, at) == pytest.approx(expected, abs=1)


def test_regression_cold_units() -> None:
    assert [round(_psig(0.68, at)) for at in ("32 F", "0 F", "-40 F")] == [491, 291, 131]


def test_pressure_is_no_evidence() -> None:
    assert _psig(0.68, "70 F") == _psig(0.68 * 0.9, "70 F")
    assert _psig(0.68, "120 F") - _psig(0.68 * 0.9, "120 F") == pytest.approx(247, abs=2)  # regression
    assert co2.share_that_holds_pressure(fill_kg_m3=680.0, t_k=293.15) == pytest.approx(0.286, abs=0.001)  # regression
    assert co2.share_that_holds_pressure(fill_kg_m3=680.0, t_k=273.15) == pytest.approx(0.143, abs=0.001)  # regression
    assert co2.share_that_holds_pressure(fill_kg_m3=680.0, t_k=320.0) == 1.0


def test_both_branches_meet_where_the_liquid_fills_the_shell() -> None:
    full = co2.liquid_full_k(fill_kg_m3=680.0)
    below, above = (co2.pressure_abs_pa(fill_kg_m3=680.0, t_k=full + d) for d in (-1e-4, 0.02))
    assert 0 < above - below < 0.02e5 * 4


def test_a_thin_fill_passes_the_critical_temperature_first() -> None:
    assert co2.liquid_full_k(fill_kg_m3=450.0) == pytest.approx(304.1282)
    assert co2.pressure_abs_pa(fill_kg_m3=450.0, t_k=T_70F_K) == co2.saturation_abs_pa(T_70F_K)


@pytest.mark.parametrize(
    ("fill", "t_k", "words"), [(390.0, 294.0, "0.4 to 0.76"), (680.0, 350.0, "217 to 345 K"), (680.0, 210.0, "217 to 345 K")]
)
def test_outside_the_range_we_stop(fill: float, t_k: float, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        co2.pressure_abs_pa(fill_kg_m3=fill, t_k=t_k)
