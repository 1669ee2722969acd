"""Supply bottles: what one holds, what of it can still push, and how many units that fills.

Equations: contents m = V rho(p, T); usable V (rho(p, T) - rho(p_unit(T) + margin, T)); one charge
V_u (rho(p_unit, 70 F) - rho(p_atm, 70 F)). Isothermal between charges: a bottle that is drawn fast cools 5 to 15 K and recovers
(common practice, no source). Range: 213 to 345 K, at most 350 bar abs. Source of the densities: `gas`. How sure: 1 to 2 %, from the true
water capacity of the bottle; the bottle's gauge comes on top.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pinseal.measures import ATM_PA
from pinseal.physics.fill_heat import bisect
from pinseal.physics.gas import (
    T_REFERENCE_K,
    density_kg_m3,
    refer_gauge_pa,
    refer_supply_gauge_pa,
    scf_per_kg,
    supply_density_kg_m3,
    supply_pressure_abs_pa,
)

# Two whole numbers that differ in the last bit are the same number of charges.
_WHOLE = 1e-9
_CASCADE_MAX = 3000
SUPPLY_ABS_PA_MAX = 350e5


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle:
    """A supply bottle as it stands: water capacity [m3], reading [Pa gauge], temperature [K]."""

    gas: str
    water_capacity_m3: float
    gauge_pa: float
    t_k: float

    @property
    def kg(self) -> float:
        """Gas in the bottle, counted from vacuum [kg]."""
        return self.water_capacity_m3 * float(supply_density_kg_m3(self.gas, abs_pa=self.gauge_pa + ATM_PA, t_k=self.t_k))

    @property
    def contents_scf(self) -> float:
        """The same in cubic feet at 70 F and 14.696 psia."""
        return self.kg * scf_per_kg(self.gas)

    @property
    def at_70f_gauge_pa(self) -> float:
        """What the gauge would show at 70 F [Pa]: a cold bottle reads low and holds no less."""
        return float(refer_supply_gauge_pa(self.gas, gauge_pa=self.gauge_pa, t_k=self.t_k, to_t_k=T_REFERENCE_K))


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitToFill:
    """The kind of unit that is filled: nameplate pressure at 70 F [Pa gauge], ullage [m3], and the margin a regulator needs [Pa]."""

    gas: str
    gauge_pa: float
    ullage_m3: float
    margin_pa: float

    @property
    def charge_kg(self) -> float:
        """Gas for one charge [kg], added to the air that is in the unit."""
        full = float(density_kg_m3(self.gas, abs_pa=self.gauge_pa + ATM_PA, t_k=T_REFERENCE_K))
        return self.ullage_m3 * (full - float(density_kg_m3(self.gas, abs_pa=ATM_PA, t_k=T_REFERENCE_K)))

    def floor_gauge_pa(self, t_k: float) -> float:
        """The reading [Pa gauge] below which a bottle cannot fill a unit to the end: unit pressure at that temperature + margin."""
        return float(refer_gauge_pa(self.gas, gauge_pa=self.gauge_pa, t_k=T_REFERENCE_K, to_t_k=t_k)) + self.margin_pa


def _floor_kg(bottle: Bottle, unit: UnitToFill) -> float:
    floor = unit.floor_gauge_pa(bottle.t_k) + ATM_PA
    return bottle.water_capacity_m3 * float(supply_density_kg_m3(bottle.gas, abs_pa=floor, t_k=bottle.t_k))


def usable_kg(bottle: Bottle, unit: UnitToFill) -> float:
    """Gas that can still fill units to the end [kg]; nothing below the floor.

    >>> psi = 6894.757293168361
    >>> bottle = Bottle(gas="nitrogen", water_capacity_m3=0.049, gauge_pa=2640 * psi, t_k=294.261)
    >>> unit = UnitToFill(gas="nitrogen", gauge_pa=195 * psi, ullage_m3=0.00388, margin_pa=50 * psi)
    >>> round(bottle.contents_scf, 1), whole_charges(bottle, unit)
    (300.2, 147)
    """
    return max(0.0, bottle.kg - _floor_kg(bottle, unit))


def whole_charges(bottle: Bottle, unit: UnitToFill) -> int:
    """How many units this bottle alone still fills to the end, rounded down."""
    return int(usable_kg(bottle, unit) / unit.charge_kg + _WHOLE)


def swap_at_gauge_pa(bottle: Bottle, unit: UnitToFill) -> float | None:
    """The reading at this temperature [Pa gauge] at which no whole charge is left; None where no pressure would hold one."""
    density = (_floor_kg(bottle, unit) + unit.charge_kg) / bottle.water_capacity_m3
    if density >= float(supply_density_kg_m3(bottle.gas, abs_pa=SUPPLY_ABS_PA_MAX, t_k=bottle.t_k)):
        return None
    return float(supply_pressure_abs_pa(bottle.gas, density_kg_m3=density, t_k=bottle.t_k)) - ATM_PA


def drawing_order(bottles: Sequence[Bottle], unit: UnitToFill) -> list[int]:
    """Indices of the bottles that can still fill a unit, the emptiest (at 70 F) first: the fullest is kept for the last psi."""
    usable = [number for number, bottle in enumerate(bottles) if usable_kg(bottle, unit) > 0]
    return sorted(usable, key=lambda number: (bottles[number].at_70f_gauge_pa, number))


def cascade_charges(bottles: Sequence[Bottle], unit: UnitToFill, *, fullest_first: bool = False) -> int | None:
    """Units filled if each is begun from the emptiest bottle that can still push and finished from a fuller one.

    A bottle gives gas while it stands above what the unit holds by the margin, so it helps to begin units long after it can finish none.
    Simulated charge by charge at 70 F; None where that would be more than 3000 charges. `fullest_first` for comparison.
    """
    if sum(usable_kg(bottle, unit) for bottle in bottles) / unit.charge_kg > _CASCADE_MAX / 1.5:
        return None
    bank, done = _Bank(bottles, unit), 0
    while done < _CASCADE_MAX and bank.fill_one(fullest_first=fullest_first):
        done += 1
    return done


class _Bank:
    """The bottles while they are drawn down: density of each [kg/m3], all at 70 F."""

    def __init__(self, bottles: Sequence[Bottle], unit: UnitToFill) -> None:
        self._unit = unit
        self._rooms = [bottle.water_capacity_m3 for bottle in bottles]
        self._densities = [bottle.kg / bottle.water_capacity_m3 for bottle in bottles]
        self._empty = float(density_kg_m3(unit.gas, abs_pa=ATM_PA, t_k=T_REFERENCE_K))
        self._need_kg = unit.charge_kg

    def _bottle_pa(self, number: int, taken_kg: float) -> float:
        density = self._densities[number] - taken_kg / self._rooms[number]
        return float(supply_pressure_abs_pa(self._unit.gas, density_kg_m3=max(density, 0.0), t_k=T_REFERENCE_K))

    def _unit_pa(self, held_kg: float) -> float:
        density = self._empty + held_kg / self._unit.ullage_m3
        return float(supply_pressure_abs_pa(self._unit.gas, density_kg_m3=density, t_k=T_REFERENCE_K))

    def _short(self, number: int, held_kg: float) -> Callable[[float], float]:
        """How far the bottle's pressure is from being enough, by the gas taken: below zero while it still pushes."""
        return lambda taken: self._unit_pa(held_kg + taken) + self._unit.margin_pa - self._bottle_pa(number, taken)

    def _takes(self, number: int, held_kg: float) -> float:
        wanted, short = self._need_kg - held_kg, self._short(number, held_kg)
        if short(0.0) >= 0:
            return 0.0
        if short(wanted) <= 0:
            return wanted
        return bisect(short, 0.0, wanted)

    def fill_one(self, *, fullest_first: bool) -> bool:
        """Fill one unit; False, and nothing drawn, where the bank cannot."""
        held, drawn = 0.0, list(self._densities)
        for number in sorted(range(len(drawn)), key=self._densities.__getitem__, reverse=fullest_first):
            taken = self._takes(number, held)
            held += taken
            drawn[number] -= taken / self._rooms[number]
            if held >= self._need_kg * (1 - _WHOLE):
                self._densities = drawn
                return True
        return False
