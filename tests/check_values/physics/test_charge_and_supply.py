"""Published answers about charging and supply bottles; the answers are the sources', not ours."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K, in_unit
from pinseal.physics.agent_densities import AGENT_DENSITIES
from pinseal.physics.fill_heat import filled_k, supply_enthalpy_j_mol
from pinseal.physics.gas import SCF_ABS_PA
from pinseal.physics.supply import Bottle
from pinseal.rules.charge_refusals import ChargeAsked

PSI = float(PSI_PA)
CASES: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("charge_and_supply.toml").read_text("utf-8"))["case"]


def _contents_scf(case: dict[str, Any]) -> float:
    if case["gas"] != "oxygen":
        bottle = Bottle(gas=case["gas"], water_capacity_m3=case["litres"] / 1000, gauge_pa=case["psig"] * PSI, t_k=T_70F_K)
        return bottle.contents_scf
    # Oxygen never charges an extinguisher, so the core holds no form for it: the same equation with the library's densities.
    from CoolProp.CoolProp import PropsSI

    full = PropsSI("D", "T", T_70F_K, "P", case["psig"] * PSI + ATM_PA, "Oxygen")
    return float(case["litres"] / 1000 * full / PropsSI("D", "T", T_70F_K, "P", SCF_ABS_PA, "Oxygen") / 0.3048**3)


def _density_g_cm3(case: dict[str, Any]) -> float:
    return AGENT_DENSITIES[case["agent"]].kg_m3 / 1000


def _adiabatic_k(case: dict[str, Any]) -> float:
    return filled_k(
        "nitrogen",
        start_abs_pa=case["start_psia"] * PSI,
        stop_abs_pa=case["stop_psig"] * PSI + ATM_PA,
        shell_k=T_70F_K,
        inlet_j_mol=supply_enthalpy_j_mol("nitrogen", abs_pa=case["stop_psig"] * PSI + ATM_PA, kelvin=T_70F_K),
        stirred_j_m3_k=0.0,
    )


def _asked(pressure_psi: float, *, wheeled: bool = False) -> ChargeAsked:
    return ChargeAsked(
        agent="abc",
        agent_kg=4.5,
        water_capacity_m3=0.0064,
        pressure_gauge_pa=pressure_psi * PSI,
        shell_k=T_70F_K,
        on=date(2026, 11, 24),
        wheeled=wheeled,
    )


ANSWERS: dict[str, tuple[str, Callable[[dict[str, Any]], float]]] = {
    "contents": ("printed_scf", _contents_scf),
    "density": ("printed_g_cm3", _density_g_cm3),
    "adiabatic": ("printed_k", _adiabatic_k),
    "ceiling": ("printed_psi", lambda case: _asked(case["nameplate_psi"]).ceiling_gauge_pa / PSI),
    "dew point": ("printed_f", lambda case: in_unit(_asked(195, wheeled=case["wheeled"]).dew_point_k_max, "temperature", "F")),
}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_published_answer(case: dict[str, Any]) -> None:
    printed, answer = ANSWERS[case["kind"]]
    assert case["source"].strip()
    assert answer(case) == pytest.approx(case[printed], rel=case["tolerance"])


@pytest.mark.parametrize("case", [c for c in CASES if c["kind"] == "density"], ids=[c["name"] for c in CASES if c["kind"] == "density"])
def test_densities_are_those_of_the_handbook_as_a_library_has_them(case: dict[str, Any]) -> None:
    import chemicals

    folder = Path(chemicals.__file__).parent / "Misc"
    rows = (folder / "Physical Constants of Inorganic Compounds.csv").read_text("utf-8").splitlines()
    row = next(line.split("\t") for line in rows if line.startswith(case["cas"] + "\t"))
    assert float(row[4]) == AGENT_DENSITIES[case["agent"]].kg_m3
