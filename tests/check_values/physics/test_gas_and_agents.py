"""Published answers about gases, water units, carbon dioxide and clean agents; the answers are the sources', not ours."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from CoolProp.CoolProp import PropsSI

from pinseal.measures import ATM_PA, INCH_M, LB_KG, PSI_PA, T_70F_K
from pinseal.physics import carbon_dioxide, clean_agents, gas, water_units
from pinseal.reasons import Refusal

PSI = float(PSI_PA)
CASES: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("gas_and_agents.toml").read_text("utf-8"))["case"]


def _of_fluid(output: str, scale: float = 1.0) -> Callable[[dict[str, Any]], float]:
    return lambda c: float(PropsSI(output, "T", c["t_k"], "P", c["mpa"] * 1e6, c["fluid"])) * scale


def _co2_gauge_pa(kg_m3: float, t_k: float) -> float:
    return carbon_dioxide.pressure_abs_pa(fill_kg_m3=kg_m3, t_k=t_k) - ATM_PA


def _agent_gauge_pa(c: dict[str, Any], kg_m3: float, gauge_pa: float, from_k: float, to_k: float) -> float:
    charge = gauge_pa + ATM_PA
    return clean_agents.pressure_abs_pa(c["agent"], fill_kg_m3=kg_m3, charge_abs_pa=charge, charge_t_k=from_k, t_k=to_k) - ATM_PA


def _agent_psi(c: dict[str, Any]) -> float:
    kg_m3 = c["lb_ft3"] * float(LB_KG) / 0.3048**3
    return _agent_gauge_pa(c, kg_m3, c["psi"] * PSI, T_70F_K, T_70F_K + 60 / 1.8) / PSI


def _filling_kg_m3(percent: float) -> float:
    """Percent of the water weight, at 27.737 in3 of water a pound (49 CFR, from memory)."""
    return percent / 100 * float(LB_KG / INCH_M**3) / 27.737


SUMS: dict[str, Callable[[dict[str, Any]], float]] = {
    "density_mol_l": _of_fluid("Dmolar", 1e-3),
    "density_kg_m3": _of_fluid("D"),
    "sound_m_s": _of_fluid("A"),
    "cp_j_mol_k": _of_fluid("Cpmolar"),
    "supply_density_mol_l": lambda c: (
        gas.supply_density_kg_m3(c["gas"], abs_pa=c["mpa"] * 1e6, t_k=c["t_k"]) / gas.molar_mass_kg_kmol(c["gas"])
    ),
    "scf_per_lb": lambda c: gas.scf_per_lb(c["gas"]),
    "atmosphere_pa": lambda c: gas.standard_atmosphere_pa(c["elevation_m"]),
    "water_mpa": lambda c: PropsSI("P", "T", c["t_k"], "D", c["kg_m3"], "Water") / 1e6,
    "dissolved_per_bar": lambda c: (
        1e6 * water_units.dissolved_mole_fraction("nitrogen", partial_abs_pa=c["bar"] * 1e5, t_k=c["t_k"]) / c["bar"]
    ),
    "ln_henry_gpa": lambda c: math.log(water_units.henry_pa("nitrogen", c["t_k"]) / 1e9),
    "co2_saturation_mpa": lambda c: carbon_dioxide.saturation_abs_pa(c["t_k"]) / 1e6,
    "co2_liquid": lambda c: carbon_dioxide.liquid_kg_m3(c["t_k"]),
    "co2_vapour": lambda c: carbon_dioxide.vapour_kg_m3(c["t_k"]),
    "co2_saturated": lambda c: PropsSI("D", "T", c["t_k"], "Q", c["phase"], "CarbonDioxide"),
    "co2_psig_at_55c": lambda c: _co2_gauge_pa(_filling_kg_m3(c["filling_percent"]), 328.15) / PSI,
    "co2_bar_at_65c": lambda c: _co2_gauge_pa(c["kg_l"] * 1000, 338.15) / 1e5,
    "agent_mpa": lambda c: PropsSI("P", "T", c["t_k"], "Dmolar", c["mol_l"] * 1000, clean_agents.AGENTS[c["agent"]].cas) / 1e6,
    "agent_bar": lambda c: _agent_gauge_pa(c, c["kg_m3"], c["bar"] * 1e5, 293.15, 323.15) / 1e5,
    "agent_psi": _agent_psi,
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_check_value(case: dict[str, Any]) -> None:
    assert case["source"]
    if case.get("refused"):
        with pytest.raises(Refusal, match=r"nearly full of liquid|outside the range"):
            SUMS[case["sum"]](case)
        return
    got = SUMS[case["sum"]](case)
    if case.get("below"):
        assert 0.9 * case["answer"] < got < case["answer"]
    else:
        allowed = case.get("tolerance", case.get("tolerance_relative", 0.0) * case["answer"])
        assert got == pytest.approx(case["answer"], rel=0, abs=allowed)
