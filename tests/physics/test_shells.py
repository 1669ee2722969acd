"""Walls under pressure: closed forms against each other, identities, and regressions (figures that we computed)."""

from __future__ import annotations

import pytest

from pinseal.measures import ATM_PA, PSI_PA, AbsPa, GaugePa
from pinseal.physics.shells import (
    ALUMINIUM,
    STEEL,
    elastic_thick_m3,
    elastic_thin_m3,
    formula_gauge_pa,
    implied_wall_m,
    least_wall_m,
    plausibility,
    rejection_elastic_m3,
    scaled_distance_m,
    sphere_stress_pa,
    stored_energy,
    wall_stress_pa,
)
from pinseal.reasons import Refusal

PSI, INCH = float(PSI_PA), 0.0254


@pytest.mark.parametrize(
    ("litres", "outside", "wall", "psi", "material", "cm3"),
    [
        (49, 9.25, 0.240, 4000, STEEL, 238),
        (13, 7.25, 0.180, 4000, STEEL, 66),
        (6.7, 6.9, 0.31, 3000, ALUMINIUM, 41),
        (6.4, 7, 0.070, 480, STEEL, 9.7),
    ],
)
def test_elastic_growth_regression(litres: float, outside: float, wall: float, psi: float, material: object, cm3: float) -> None:
    got = elastic_thick_m3(
        water_capacity_m3=litres / 1000,
        test_gauge_pa=GaugePa(psi * PSI),
        outside_m=outside * INCH,
        wall_m=wall * INCH,
        material=material,  # type: ignore[arg-type]
    )
    assert got * 1e6 == pytest.approx(cm3, rel=0.012)


def test_thin_and_thick_agree_for_thin_walls() -> None:
    at = {"water_capacity_m3": 0.01, "test_gauge_pa": GaugePa(1e7), "outside_m": 0.2}
    assert elastic_thin_m3(wall_m=0.2 / 40, **at) == pytest.approx(elastic_thick_m3(wall_m=0.2 / 40, **at), rel=0.02)
    assert elastic_thin_m3(wall_m=0.2 / 500, **at) == pytest.approx(elastic_thick_m3(wall_m=0.2 / 500, **at), rel=0.0015)


def test_the_thick_form_is_the_strain_of_the_bore() -> None:
    """Independent: dV/V = 2 hoop + axial strain at the bore, from the stresses of a closed thick cylinder."""
    p, a, b, e, nu = 20e6, 0.1, 0.11, STEEL.modulus_pa, STEEL.poisson
    k = p * a**2 / (b**2 - a**2)
    hoop, axial, radial = k * (1 + b**2 / a**2), k, -p
    strain = 2 * (hoop - nu * (axial + radial)) / e + (axial - nu * (hoop + radial)) / e
    got = elastic_thick_m3(water_capacity_m3=1.0, test_gauge_pa=GaugePa(p), outside_m=2 * b, wall_m=b - a)
    assert got == pytest.approx(strain, rel=1e-12)


def test_the_wall_formula_of_178_36_is_e_times_the_hoop_strain_of_the_bore() -> None:
    """STR-1, 63 047.2 psi, and the identity at nu = 0.3."""
    p, outside, inside = 4000.0, 9.25, 8.75
    stress = wall_stress_pa(wall_gauge_pa=p, outside_m=outside, wall_m=(outside - inside) / 2)
    assert stress == pytest.approx(63_047.2, abs=0.05)
    k = p * inside**2 / (outside**2 - inside**2)
    hoop, axial, radial = k * (1 + outside**2 / inside**2), k, -p
    assert stress == pytest.approx(hoop - 0.3 * (axial + radial), rel=1e-12)


def test_the_welded_formula_is_not_pd_over_2t() -> None:
    """7 x 0.070 in at 480 psi: 20 414 psi by the formula, 24 000 by PD/2t (regression)."""
    assert wall_stress_pa(wall_gauge_pa=480, outside_m=7, wall_m=0.07) == pytest.approx(20_414, abs=1)
    assert wall_stress_pa(wall_gauge_pa=240, outside_m=7, wall_m=0.07, joint_efficiency=1.0) == pytest.approx(20_414, abs=1)
    assert wall_stress_pa(wall_gauge_pa=240, outside_m=7, wall_m=0.07, joint_efficiency=0.9) == pytest.approx(20_414 / 0.9, abs=1)
    assert sphere_stress_pa(wall_gauge_pa=480, outside_m=7, wall_m=0.07, joint_efficiency=1.0) == pytest.approx(12_000)


def test_a_3a_wall_is_reckoned_with_450_psi_at_least() -> None:
    assert formula_gauge_pa(test_gauge_pa=400 * PSI) == 450 * PSI
    assert formula_gauge_pa(test_gauge_pa=3000 * PSI) == 3000 * PSI


def test_the_least_wall_gives_back_its_stress() -> None:
    wall = least_wall_m(wall_gauge_pa=4000 * PSI, outside_m=9.25 * INCH, stress_pa_max=70_000 * PSI)
    assert wall / INCH == pytest.approx(0.2251, abs=5e-5)
    assert wall_stress_pa(wall_gauge_pa=4000 * PSI, outside_m=9.25 * INCH, wall_m=wall) == pytest.approx(70_000 * PSI, rel=1e-12)
    with pytest.raises(Refusal, match="no wall bears"):
        least_wall_m(wall_gauge_pa=4000, outside_m=9.25, stress_pa_max=5200)


def test_a_reading_implies_a_wall() -> None:
    at = {"water_capacity_m3": 0.013, "test_gauge_pa": GaugePa(4000 * PSI), "outside_m": 7.25 * INCH}
    wall = implied_wall_m(elastic_m3=56.0e-6, **at)
    assert wall / INCH == pytest.approx(0.211, abs=0.001)
    assert elastic_thick_m3(wall_m=wall, **at) == pytest.approx(56.0e-6, rel=1e-12)
    with pytest.raises(Refusal, match="stiff enough"):
        implied_wall_m(elastic_m3=1e-9, **at)


@pytest.mark.parametrize(("share", "state"), [(0.69, "low"), (0.70, "plausible"), (1.15, "plausible"), (1.16, "high")])
def test_plausible_is_seventy_to_a_hundred_and_fifteen_percent(share: float, state: str) -> None:
    assert plausibility(elastic_m3=share, expected_m3=1.0).state == state


def test_the_rejection_form_is_the_simple_theory_of_steel() -> None:
    at = {"water_capacity_m3": 0.049, "test_gauge_pa": GaugePa(4000 * PSI), "outside_m": 9.25 * INCH, "wall_m": 0.24 * INCH}
    square, inner = 9.25**2, (9.25 - 0.48) ** 2
    assert rejection_elastic_m3(**at) == pytest.approx(3.8 / 30e6 * 4000 * 0.049 * square / (square - inner), rel=0.006)


@pytest.mark.parametrize("wall", [0.0, -0.001, 0.05, 0.06])
def test_a_wall_that_cannot_be_is_refused(wall: float) -> None:
    with pytest.raises(Refusal, match="not a shell"):
        wall_stress_pa(wall_gauge_pa=1e6, outside_m=0.1, wall_m=wall)


@pytest.mark.parametrize(
    ("litres", "psi", "brode", "isentropic", "water", "distance"),
    [
        (6.4, 195, 21.5, 12.3, 0.0027, 3.6),
        (6.4, 585, 64.5, 43.2, 0.024, 5.5),
        (95, 240, 393, 232, 0.060, 9.6),
        (49, 2640, 2230, 1734, 3.6, 18.7),
    ],
)
def test_stored_energy_regression(litres: float, psi: float, brode: float, isentropic: float, water: float, distance: float) -> None:
    got = stored_energy(test_abs_pa=AbsPa(psi * PSI + ATM_PA), volume_m3=litres / 1000)
    assert got.brode_j / 1000 == pytest.approx(brode, rel=0.004)
    assert got.isentropic_j / 1000 == pytest.approx(isentropic, rel=0.004)
    # A constant compressibility: at the highest pressure water gives way a little less than this.
    assert got.water_j / 1000 == pytest.approx(water, rel=0.04)
    assert scaled_distance_m(got.isentropic_j) == pytest.approx(distance, rel=0.01)
    assert got.distance_m == 30.0
    assert got.gas_to_water > 400


def test_no_pressure_stores_no_energy() -> None:
    with pytest.raises(Refusal, match="no energy"):
        stored_energy(test_abs_pa=AbsPa(ATM_PA), volume_m3=0.01)
