"""What a bank of bottles is said to hold, and what it refuses."""

from __future__ import annotations

import pytest

from pinseal.measures import PSI_PA, T_70F_K
from pinseal.physics.supply import Bottle, UnitToFill
from pinseal.reasons import Refusal
from pinseal.rules.supplying import MARGIN_PA, plan_supply

PSI = float(PSI_PA)
TEN = UnitToFill(gas="nitrogen", gauge_pa=195 * PSI, ullage_m3=0.00388, margin_pa=MARGIN_PA)


def _bottle(psi: float, t_k: float = T_70F_K, litres: float = 49.0) -> Bottle:
    return Bottle(gas="nitrogen", water_capacity_m3=litres / 1000, gauge_pa=psi * PSI, t_k=t_k)


def test_a_cold_bottle_is_said_to_read_low_and_a_hot_one_high() -> None:
    said = " ".join(plan_supply([_bottle(1900, 266.4833), _bottle(1900, 310.0)], TEN).because)
    assert "Bottle 1 reads low: 1900.0 psi at 20.0 F is 2175.6 psi at 70.0 F." in said
    assert "Bottle 2 reads high" in said
    assert "reads low" not in " ".join(plan_supply([_bottle(1900)], TEN).because)


def test_the_order_is_said_with_what_it_gains() -> None:
    plan = plan_supply([_bottle(2640), _bottle(2640)], TEN)
    assert (plan.charges_left, plan.cascade_charges, plan.order) == (294, 308, (1, 2))
    assert any("fills about 308 units instead of 294" in line for line in plan.because)


def test_a_bottle_below_its_floor_is_swapped_and_not_drawn() -> None:
    plan = plan_supply([_bottle(200), _bottle(1000)], TEN)
    assert plan.order == (2,)
    assert plan.bottles[0].swap_now and plan.bottles[0].usable_scf == 0
    assert any(line.startswith("Bottle 1 at 200.0 psi has no whole charge left: swap it") for line in plan.because)


def test_a_bottle_too_small_for_one_unit_has_no_reading_to_swap_at() -> None:
    wheeled = UnitToFill(gas="nitrogen", gauge_pa=240 * PSI, ullage_m3=0.0572, margin_pa=MARGIN_PA)
    plan = plan_supply([_bottle(2000, litres=2.0)], wheeled)
    assert plan.charges_left == 0
    assert plan.bottles[0].swap_at_gauge_pa is None


@pytest.mark.parametrize(
    ("bottle", "unit", "words"),
    [
        (_bottle(0), TEN, "bottle 1 must read above zero"),
        (_bottle(1000, litres=0.0), TEN, "water capacity must be above zero"),
        (_bottle(1000), UnitToFill(gas="nitrogen", gauge_pa=195 * PSI, ullage_m3=0.0, margin_pa=0.0), "ullage must be above zero"),
        (_bottle(1000), UnitToFill(gas="nitrogen", gauge_pa=-5 * PSI, ullage_m3=0.004, margin_pa=0.0), "pressure and ullage"),
        (_bottle(6000), TEN, "350 bar"),
    ],
)
def test_what_cannot_be_is_refused_in_words(bottle: Bottle, unit: UnitToFill, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        plan_supply([bottle], unit)
