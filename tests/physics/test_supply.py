"""Supply bottles: our own earlier figures as regressions, the simulated orders of drawing, and properties."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinseal.measures import ATM_PA, PSI_PA, T_70F_K
from pinseal.physics.supply import (
    Bottle,
    UnitToFill,
    cascade_charges,
    drawing_order,
    swap_at_gauge_pa,
    usable_kg,
    whole_charges,
)

PSI = float(PSI_PA)


def _bottle(psi: float, *, litres: float = 49.0, t_k: float = T_70F_K) -> Bottle:
    return Bottle(gas="nitrogen", water_capacity_m3=litres / 1000, gauge_pa=psi * PSI, t_k=t_k)


def _unit(psi: float, litres: float, margin_psi: float = 50.0) -> UnitToFill:
    return UnitToFill(gas="nitrogen", gauge_pa=psi * PSI, ullage_m3=litres / 1000, margin_pa=margin_psi * PSI)


TEN, WHEELED = _unit(195, 3.88), _unit(240, 57.2)


@pytest.mark.parametrize(
    ("litres", "psi", "ten", "wheeled"), [(49.0, 2640, 147, 7), (43.8, 2200, 109, 5), (15.9, 2200, 39, 2)], ids=["49 L", "43.8 L", "15.9 L"]
)
def test_units_from_one_bottle_regression(litres: float, psi: float, ten: int, wheeled: int) -> None:
    bottle = _bottle(psi, litres=litres)
    assert (whole_charges(bottle, TEN), whole_charges(bottle, WHEELED)) == (ten, wheeled)


@pytest.mark.parametrize(
    ("count", "unit", "alone", "fullest", "emptiest"),
    [(2, TEN, 294, 295, 308), (3, TEN, 441, 443, 468), (2, WHEELED, 14, 15, 16), (3, WHEELED, 21, 23, 25)],
    ids=["2, portable", "3, portable", "2, wheeled", "3, wheeled"],
)
def test_order_of_drawing_regression(count: int, unit: UnitToFill, alone: int, fullest: int, emptiest: int) -> None:
    bank = [_bottle(2640)] * count
    assert sum(whole_charges(bottle, unit) for bottle in bank) == alone
    assert cascade_charges(bank, unit, fullest_first=True) == fullest
    assert cascade_charges(bank, unit) == emptiest


def test_e12_a_cold_bottle_reads_low_and_holds_no_less() -> None:
    cold = _bottle(1900, t_k=266.4833)
    assert cold.at_70f_gauge_pa / PSI == pytest.approx(2176, rel=0.02)
    assert cold.at_70f_gauge_pa / PSI == pytest.approx(2176, abs=1)
    # 300 cubic feet at 2640 psi is 49 L of water; down to a floor of 250 psi for 4.1 L units at 195 psi
    assert whole_charges(cold, _unit(195, 4.1, margin_psi=55)) == pytest.approx(114, rel=0.02)
    assert whole_charges(_bottle(1900), _unit(195, 4.1, margin_psi=55)) < 101, "the cold reading taken at its word"


def test_the_contents_of_a_full_bottle_regression() -> None:
    assert _bottle(2640).contents_scf == pytest.approx(300.2, abs=0.1)
    assert _bottle(2640).kg == pytest.approx(9.87, abs=0.01)
    assert _bottle(2200, litres=43.8).kg == pytest.approx(7.49, abs=0.01)


def test_the_emptiest_bottle_that_still_pushes_is_drawn_first() -> None:
    bank = [_bottle(1900), _bottle(230), _bottle(700), _bottle(246)]
    assert drawing_order(bank, TEN) == [3, 2, 0], "230 psi is below 195 + 50 and stays out"


def test_a_warm_reading_is_not_mistaken_for_a_fuller_bottle() -> None:
    warm, cold = _bottle(1000, t_k=310.0), _bottle(950, t_k=266.0)
    assert drawing_order([cold, warm], TEN) == [1, 0]


def test_too_many_charges_are_not_simulated() -> None:
    assert cascade_charges([_bottle(2640)], _unit(195, 0.05)) is None


@settings(max_examples=60)
@given(psi=st.floats(10, 3000), litres=st.floats(5, 60), kelvin=st.floats(240, 330), unit_psi=st.floats(60, 400), ullage=st.floats(0.5, 80))
def test_charges_fit_the_gas_and_swapping_is_where_one_charge_is_left(
    psi: float, litres: float, kelvin: float, unit_psi: float, ullage: float
) -> None:
    bottle, unit = _bottle(psi, litres=litres, t_k=kelvin), _unit(unit_psi, ullage)
    usable, charges = usable_kg(bottle, unit), whole_charges(bottle, unit)
    assert 0 <= usable <= bottle.kg
    assert charges * unit.charge_kg <= usable * (1 + 1e-6) + 1e-12
    assert (charges + 1) * unit.charge_kg > usable * (1 - 1e-6)
    swap = swap_at_gauge_pa(bottle, unit)
    if swap is None:
        assert charges == 0, "one charge is more than the bottle can ever hold"
        return
    at = Bottle(gas="nitrogen", water_capacity_m3=litres / 1000, gauge_pa=swap, t_k=kelvin)
    assert usable_kg(at, unit) == pytest.approx(unit.charge_kg, rel=1e-6)


@settings(max_examples=25)
@given(readings=st.lists(st.floats(150, 2600), min_size=1, max_size=4))
def test_drawing_together_never_fills_fewer(readings: list[float]) -> None:
    bank = [_bottle(psi) for psi in readings]
    together = cascade_charges(bank, WHEELED)
    assert together is not None
    assert together >= sum(whole_charges(bottle, WHEELED) for bottle in bank)


def test_the_floor_follows_the_bottle_s_temperature() -> None:
    assert TEN.floor_gauge_pa(T_70F_K) == pytest.approx(245 * PSI)
    assert TEN.floor_gauge_pa(266.4833) / PSI == pytest.approx(174.5 + 50, abs=0.2)
    assert ATM_PA + TEN.floor_gauge_pa(266.4833) < ATM_PA + TEN.floor_gauge_pa(T_70F_K)
