"""Charging a stored-pressure unit: ullage, gas needed, target at today's temperature, and where to stop a fast charge.

Equations: V_u = V_water - m_agent / rho_true; m_gas = V_u (rho(p, T) - rho(p_atm, T)); the target keeps the density,
p(T) = p(rho(p_70F, 70 F), T). Range: 213 to 345 K, at most 51 bar abs. The ullage is rigid and takes up no gas (powder). Over
water, which swells and takes up gas, the target is that of `water_units` at rest, 273.15 to 323.15 K.
Sources: gas as in `gas`; densities as in `agent_densities`; heating as in `fill_heat`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.measures import ATM_PA, PSI_PA
from pinseal.physics.agent_densities import TrueDensity
from pinseal.physics.fill_heat import bisect, settled_abs_pa, supply_enthalpy_j_mol
from pinseal.physics.gas import T_REFERENCE_K, density_kg_m3, molar_mass_kg_kmol, refer_gauge_pa
from pinseal.physics.water_units import WaterCharge, charged, from_reading, pressure_abs_pa
from pinseal.reasons import Refusal

_PSI = float(PSI_PA)
SUPPLY_GAUGE_PA = 2000 * _PSI
# Budget of the sealed unit (powder and shell expansion, gas of the air left in it): 0.3 % of the absolute pressure, computed.
_MODEL_RELATIVE = 0.003
_WATER_U_PA = 1.0 * _PSI  # the model of water at rest, k = 2, computed against the measured solubility
SHELL_U_K = 1.5  # standard uncertainty of the shell's temperature, common practice, no source
# Standard uncertainty of the fall between two readings of one gauge, common practice, no source.
_PAIR_U_PA = 1.0 * _PSI
_FRACTION_MIN = 1e-4
_STEPS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class StirredFraction:
    """The share of the agent that the inflow stirs, with its range, and from how many pairs it was learned (0: not learned)."""

    value: float
    low: float
    high: float
    pairs: int


# Computed span of the possible, and a start between: nothing is published.
NOT_LEARNED = StirredFraction(value=0.1, low=0.01, high=1.0, pairs=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """One shell that is to be filled: its gas, its temperature [K], its ullage, the agent's whole heat capacity, the supply."""

    gas: str
    shell_k: float
    ullage_m3: float
    agent_j_k: float
    supply_gauge_pa: float = SUPPLY_GAUGE_PA

    def settles_at_gauge_pa(self, stop_at_gauge_pa: float, stirred: float) -> float:
        """Gauge pressure [Pa] when the gas has cooled, after a fast charge from the air's pressure that stopped there."""
        inlet = supply_enthalpy_j_mol(self.gas, abs_pa=self.supply_gauge_pa + ATM_PA, kelvin=self.shell_k)
        settled = settled_abs_pa(
            self.gas,
            start_abs_pa=ATM_PA,
            stop_abs_pa=stop_at_gauge_pa + ATM_PA,
            shell_k=self.shell_k,
            inlet_j_mol=inlet,
            stirred_j_m3_k=stirred * self.agent_j_k / self.ullage_m3,
        )
        return settled - ATM_PA

    def stop_at_gauge_pa(self, target_gauge_pa: float, stirred: float, *, limit_gauge_pa: float) -> float:
        """Where to stop [Pa gauge] so that it settles at the target; never above the limit, which may then be too low."""
        if limit_gauge_pa <= target_gauge_pa or self.settles_at_gauge_pa(limit_gauge_pa, stirred) <= target_gauge_pa:
            return limit_gauge_pa
        return bisect(lambda stop: self.settles_at_gauge_pa(stop, stirred) - target_gauge_pa, target_gauge_pa, limit_gauge_pa)


def ullage_m3(*, water_capacity_m3: float, agent_kg: float, density_kg_m3: float) -> float:
    """Gas space left above the agent [m3]; below zero where the agent does not fit.

    >>> round(ullage_m3(water_capacity_m3=0.0064, agent_kg=4.536, density_kg_m3=1800.0) * 1000, 2)
    3.88
    """
    return water_capacity_m3 - agent_kg / density_kg_m3


def ullage_u_m3(*, agent_kg: float, density: TrueDensity) -> float:
    """Uncertainty of the ullage [m3, k = 2] that comes from the agent's density."""
    return agent_kg / density.kg_m3 * density.relative


def target_gauge_pa(gas: str, *, nameplate_gauge_pa: float, shell_k: float) -> float:
    """The nameplate's pressure at 70 F, as it must read at the shell's temperature [Pa gauge].

    >>> round(target_gauge_pa("nitrogen", nameplate_gauge_pa=195 * 6894.757, shell_k=277.594) / 6894.757, 1)
    182.7
    """
    return float(refer_gauge_pa(gas, gauge_pa=nameplate_gauge_pa, t_k=T_REFERENCE_K, to_t_k=shell_k))


def target_u_pa(gas: str, *, nameplate_gauge_pa: float, shell_k: float, over_water: bool = False) -> float:
    """Uncertainty of the target [Pa, k = 2] from the thermometer and the model; the gauge's own comes on top."""
    target = target_gauge_pa(gas, nameplate_gauge_pa=nameplate_gauge_pa, shell_k=shell_k)
    warmer = float(refer_gauge_pa(gas, gauge_pa=target, t_k=shell_k, to_t_k=shell_k + (1.0 if shell_k < 340 else -1.0)))
    model = _MODEL_RELATIVE * (target + ATM_PA) + (_WATER_U_PA if over_water else 0.0)
    return float(((2 * SHELL_U_K * (warmer - target)) ** 2 + model**2) ** 0.5)


def _water_at_rest(gas: str, *, nameplate_gauge_pa: float, ullage_share: float) -> WaterCharge:
    """A water unit that reads its nameplate pressure at 70 F after it was inverted and topped up until it is steady."""
    nameplate = nameplate_gauge_pa + ATM_PA
    fresh = charged(gas, abs_pa=nameplate, t_k=T_REFERENCE_K, ullage_share=ullage_share)
    return from_reading(fresh, abs_pa=nameplate, t_k=T_REFERENCE_K, share=1.0)


def water_target_gauge_pa(gas: str, *, nameplate_gauge_pa: float, shell_k: float, ullage_share: float) -> float:
    """As `target_gauge_pa`, for a shell with water in it, at rest: what it must read when it is steady [Pa gauge].

    `ullage_share` is the ullage over the water capacity, 0.05 to 0.95; `shell_k` 273.15 to 323.15 K. Raises `Refusal`.
    """
    rest = _water_at_rest(gas, nameplate_gauge_pa=nameplate_gauge_pa, ullage_share=ullage_share)
    return pressure_abs_pa(rest, t_k=shell_k, share=1.0) - ATM_PA


def water_gas_kg(gas: str, *, nameplate_gauge_pa: float, ullage_share: float, water_capacity_m3: float) -> float:
    """Gas that such a unit takes until it is steady [kg]: over the water and in it, less the air that was there."""
    rest = _water_at_rest(gas, nameplate_gauge_pa=nameplate_gauge_pa, ullage_share=ullage_share)
    air = float(density_kg_m3(gas, abs_pa=ATM_PA, t_k=T_REFERENCE_K)) * ullage_share
    added_kg_m3 = (rest.gas_kmol - rest.held_before_kmol) * molar_mass_kg_kmol(gas) - air
    return added_kg_m3 * water_capacity_m3


def gas_kg(gas: str, *, ullage_m3: float, charge_gauge_pa: float, t_k: float) -> float:
    """Gas that must be added to the air of the ullage [kg] to reach a pressure [Pa gauge] at one temperature [K]."""
    full = float(density_kg_m3(gas, abs_pa=charge_gauge_pa + ATM_PA, t_k=t_k))
    return ullage_m3 * (full - float(density_kg_m3(gas, abs_pa=ATM_PA, t_k=t_k)))


def _fell_too_far(stopped_pa: float, settled_pa: float, least_pa: float) -> Refusal:
    return Refusal(
        what="this charge fell further than its heat can explain",
        rule=f"stopped at {stopped_pa / _PSI:.1f} psi it could not settle below {least_pa / _PSI:.1f} psi",
        got=f"{settled_pa / _PSI:.1f} psi",
        do="look for a leak, or for agent that takes up gas; leave this pair out",
    )


def _rose(stopped_pa: float, settled_pa: float) -> Refusal:
    return Refusal(
        what="a charge does not rise while it cools",
        rule="a pair is (stopped at) to (settled at), both at one shell temperature",
        got=f"{stopped_pa / _PSI:.1f} psi to {settled_pa / _PSI:.1f} psi",
        do="check the order of the two readings and the temperature",
    )


def _fractions() -> list[float]:
    return [_FRACTION_MIN ** (1 - k / _STEPS) for k in range(_STEPS + 1)]


def _settled_curve(fill: Fill, stopped_pa: float, settled_pa: float) -> list[float]:
    """Where this charge would settle for each fraction of the grid. Raises `Refusal` where no fraction explains the reading."""
    if settled_pa > stopped_pa:
        raise _rose(stopped_pa, settled_pa)
    curve = [fill.settles_at_gauge_pa(stopped_pa, fraction) for fraction in _fractions()]
    if settled_pa < curve[0] - 3 * _PAIR_U_PA:
        raise _fell_too_far(stopped_pa, settled_pa, curve[0])
    return curve


def _between(curve: Sequence[float], place: float) -> float:
    at = min(int(place), len(curve) - 2)
    return curve[at] + (curve[at + 1] - curve[at]) * (place - at)


def learn_stirred_fraction(fill: Fill, pairs: Sequence[tuple[float, float]]) -> StirredFraction:
    """The stirred fraction of a family from (stopped at, settled at) pairs [Pa gauge] of such shells at this temperature.

    Least squares over the logarithm of the fraction, 0.0001 to 1; the range holds what lies within 95 % of the best by the
    likelihood of readings that scatter by 1 psi, or by what three or more pairs show if that is more. Raises `Refusal`.
    """
    if not pairs:
        return NOT_LEARNED
    curves = [_settled_curve(fill, stopped, settled) for stopped, settled in pairs]
    places = [k / 10 for k in range(_STEPS * 10 + 1)]
    misfits = [sum((_between(c, at) - settled) ** 2 for c, (_, settled) in zip(curves, pairs, strict=True)) for at in places]
    least = min(misfits)
    scatter = max(_PAIR_U_PA**2, least / (len(pairs) - 1) if len(pairs) >= 3 else 0.0)
    kept = [at for at, misfit in zip(places, misfits, strict=True) if misfit - least <= 3.841 * scatter]
    best = places[misfits.index(least)]
    value, low, high = (_FRACTION_MIN ** (1 - at / _STEPS) for at in (best, kept[0], kept[-1]))
    return StirredFraction(value=value, low=low, high=high, pairs=len(pairs))
