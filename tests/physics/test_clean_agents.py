"""Clean agents: an independent mixture equation, the constants against the reference equations, and the limits."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from pinseal.measures import ATM_PA, LB_KG, PSI_PA, T_70F_K, parse_temperature
from pinseal.physics import clean_agents
from pinseal.reasons import Refusal

PSI = float(PSI_PA)
LB_FT3 = float(LB_KG) / 0.3048**3
HFC_227EA, FK = "halocarbon-hfc-227ea", "halocarbon-fk-5-1-12"


def _psig(agent: str, lb_ft3: float, psi: float, at: str) -> float:
    abs_pa = clean_agents.pressure_abs_pa(
        agent, fill_kg_m3=lb_ft3 * LB_FT3, charge_abs_pa=psi * PSI + ATM_PA, charge_t_k=T_70F_K, t_k=parse_temperature(at).si
    )
    return (abs_pa - ATM_PA) / PSI


@pytest.mark.parametrize("agent", clean_agents.AGENTS)
def test_the_constants_are_those_of_the_reference_equations(agent: str) -> None:
    about = clean_agents.AGENTS[agent]
    assert about.t_critical_k == pytest.approx(PropsSI("Tcrit", about.cas), rel=1e-4)
    assert about.p_critical_pa == pytest.approx(PropsSI("pcrit", about.cas), rel=3e-4)
    assert about.acentric == pytest.approx(PropsSI("acentric", about.cas), abs=1e-3)
    assert about.molar_mass_kg_mol == pytest.approx(PropsSI("M", about.cas), rel=1e-6)


# A fitted mixture equation of nitrogen and HFC-227ea in CoolProp, solved for the same total volume; worked out once, 25 November 2026.
@pytest.mark.parametrize(
    ("lb_ft3", "psi", "at", "mixture"),
    [
        (60, 195, "32 F", 155.19),
        (60, 195, "100 F", 239.12),
        (60, 195, "130 F", 297.95),
        (60, 360, "32 F", 308.71),
        (60, 360, "100 F", 412.50),
        (60, 360, "130 F", 478.95),
        (50, 195, "130 F", 298.52),
    ],
)
def test_within_four_percent_of_a_fitted_mixture_equation(lb_ft3: float, psi: float, at: str, mixture: float) -> None:
    assert _psig(HFC_227EA, lb_ft3, psi, at) == pytest.approx(mixture, rel=0.04)


def test_at_the_temperature_of_the_charge_it_is_the_charge() -> None:
    for agent in clean_agents.AGENTS:
        assert _psig(agent, 60, 195, "70 F") == pytest.approx(195, abs=1e-6)


def test_regression_figures_of_fk() -> None:
    assert [round(_psig(FK, 90, psi, "130 F")) for psi in (150, 195, 360, 610)] == [181, 231, 411, 679]


def test_the_band_widens_below_freezing() -> None:
    assert clean_agents.band_share(FK, t_k=294.0) == 0.05
    assert clean_agents.band_share(HFC_227EA, t_k=294.0) == 0.10
    assert clean_agents.band_share(FK, t_k=260.0) == 0.10


@pytest.mark.parametrize(
    ("agent", "lb_ft3", "psi", "at", "words"),
    [
        (FK, 70, 195, "-1 F", "below 0 F no figure"),
        (FK, 70, 195, "131 F", "0 to 130 F"),
        (FK, 30, 195, "70 F", "fill density is outside"),
        (FK, 70, 800, "70 F", "up to 50 bar absolute"),
        (HFC_227EA, 60, 450, "70 F", "up to 30 bar absolute"),
        (HFC_227EA, 80, 195, "130 F", "nearly full of liquid"),
        (HFC_227EA, 60, 30, "70 F", "own vapour pressure"),
        (FK, 70, -5, "70 F", "above the air"),
    ],
)
def test_outside_the_range_we_stop(agent: str, lb_ft3: float, psi: float, at: str, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        _psig(agent, lb_ft3, psi, at)
