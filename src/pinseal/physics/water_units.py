"""Water and foam units: the gas over the water dissolves in it, and the water swells when it is warm.

Equation, for one cubic metre of shell: r(p_gas, T) (1 - V_L) + n_diss = n_total and p = p_gas + p_v(T), where r is the density of the gas,
V_L = m_w / rho_w(T, p) the volume of the water, p_v its vapour pressure, and n_diss the gas in solution. At rest
n_eq = x/(1-x) m_w/M_w with x = p_gas phi exp(-v p_gas/RT) / kH(T); before that n_diss = n_0 + s (n_eq - n_0), s the share that the age
and the stirring allow and n_0 what the water took from the air before it was charged.

Sources: kH, IAPWS G7-04 (2004), Henry's constant for gases in water, with its vapour pressure; density of water, J. Chem. Eng. Data 20
(1975) 97; checked against nitrogen in water, J. Res. Nat. Bur. Stand. 77A (1973) 133, table 3. v = 33 cm3/mol and the diffusivity
2.0e-9 m2/s: from memory.

Range: fresh water from 273.15 to 323.15 K (32 to 122 F). Foam solution with less than 6 % concentrate counts as water (common practice,
no source). Antifreeze, loaded stream and wet chemical dissolve less and swell otherwise: not covered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from pinseal.measures import ATM_PA
from pinseal.physics import gas as gases
from pinseal.physics.gas_forms import FORMS
from pinseal.physics.solving import root_of_rising
from pinseal.reasons import Refusal

T_K_MIN, T_K_MAX = 273.15, 323.15
ULLAGE_SHARE_MIN, ULLAGE_SHARE_MAX = 0.05, 0.95
WATER_DEPTH_M = 0.30
R_J_KMOL_K = 8314.462618
_WATER_KG_KMOL = 18.015268
_T_CRITICAL_K, _P_CRITICAL_PA = 647.096, 22.064e6
_GAS_IN_WATER_M3_KMOL = 0.033
_WITHIN_PA = 1e-5  # of the solver: far below what any gauge can show
_DIFFUSIVITY_M2_S = 2.0e-9
# IAPWS G7-04, table 2: A, B, C of each gas in ordinary water.
_HENRY = {
    "nitrogen": (-9.67578, 4.72162, 11.70585),
    "oxygen": (-9.44833, 4.43822, 11.42005),
    "argon": (-8.40954, 4.29587, 10.52779),
    "helium": (-3.52839, 7.12983, 4.47770),
}
_OXYGEN_IN_AIR = 0.21
_NITROGEN_IN_AIR = 0.79


def _check_temperature(t_k: float) -> None:
    if not T_K_MIN <= t_k <= T_K_MAX:
        raise Refusal(
            what="the temperature is outside the range of the water model",
            rule="fresh water from 273.15 to 323.15 K, that is 32 to 122 F",
            got=f"{t_k:.1f} K",
            do="bring the unit to an ordinary temperature and read again; a unit that froze is opened and examined",
        )


def vapour_abs_pa(t_k: float) -> float:
    """Vapour pressure of water [Pa] at t_k [K, 273.15 to 323.15], as IAPWS G7-04 has it."""
    tau = 1.0 - t_k / _T_CRITICAL_K
    terms = zip((-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502), (1.0, 1.5, 3.0, 3.5, 4.0, 7.5), strict=True)
    return _P_CRITICAL_PA * math.exp(_T_CRITICAL_K / t_k * sum(a * tau**b for a, b in terms))


def water_density_kg_m3(*, t_k: float, abs_pa: float = ATM_PA) -> float:
    """Density of pure water [kg/m3] at t_k [K, 273.15 to 323.15] and abs_pa [Pa, up to 50e5]. J. Chem. Eng. Data 20 (1975) 97.

    >>> round(water_density_kg_m3(t_k=293.15), 2)
    998.2
    """
    t = t_k - 273.15
    above = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
    squeeze = (50.88496, 0.6163813, 1.459187e-3, 20.08438e-6, -58.47727e-9, 410.4110e-12)
    at_one_atmosphere = sum(a * t**i for i, a in enumerate(above)) / (1.0 + 16.879850e-3 * t)
    per_pa = 1e-11 * sum(a * t**i for i, a in enumerate(squeeze)) / (1.0 + 19.67348e-3 * t)
    return at_one_atmosphere * (1.0 + per_pa * (abs_pa - ATM_PA))


def henry_pa(gas: str, t_k: float) -> float:
    """Henry's constant [Pa] of nitrogen, oxygen, argon or helium in water at t_k [K]: fugacity over mole fraction. IAPWS G7-04.

    >>> round(math.log(henry_pa("nitrogen", 300.0) / 1e9), 4)
    2.1716
    """
    a, b, c = _HENRY[gas]
    tr = t_k / _T_CRITICAL_K
    tau = 1.0 - tr
    return vapour_abs_pa(t_k) * math.exp(a / tr + b * tau**0.355 / tr + c * tr**-0.41 * math.exp(tau))


def _second_virial_m3_kmol(gas: str, t_k: float) -> float:
    return sum(c * (300.0 / t_k) ** i for i, c in enumerate(FORMS[gas].shell.rows[0]))


def dissolved_mole_fraction(gas: str, *, partial_abs_pa: float, t_k: float) -> float:
    """Mole fraction of a gas in water at rest under its partial pressure [Pa, up to 100e5] at t_k [K, 273.15 to 323.15].

    Within 1 % of the measured values from 10 to 30 C at 1 bar and 2 % to 100 bar, 3 % at 0 and 50 C. Air dissolves as its parts.
    """
    rt = R_J_KMOL_K * t_k
    fugacity = partial_abs_pa * math.exp(_second_virial_m3_kmol(gas, t_k) * partial_abs_pa / rt)
    squeezed_out = math.exp(-_GAS_IN_WATER_M3_KMOL * partial_abs_pa / rt)
    if gas == "air":
        per_pa = (1.0 - _OXYGEN_IN_AIR) / henry_pa("nitrogen", t_k) + _OXYGEN_IN_AIR / henry_pa("oxygen", t_k)
    else:
        per_pa = 1.0 / henry_pa(gas, t_k)
    return fugacity * squeezed_out * per_pa


def still_share(*, days: float, depth_m: float = WATER_DEPTH_M) -> float:
    """Share of the way to rest after some days in water that nobody moves: diffusion alone, from above, into a depth [m].

    1 - sum of 8/((2n+1) pi)^2 exp(-D ((2n+1) pi / 2 h)^2 t). It is the least that can have dissolved: a stirred unit is at rest in
    minutes (common practice, no source), and warm days and cold nights stir too.

    >>> [round(still_share(days=d), 2) for d in (1, 7, 30, 90, 365)]
    [0.05, 0.13, 0.27, 0.47, 0.86]
    """
    assert days >= 0, "an age is not below zero"
    time = _DIFFUSIVITY_M2_S * days * 86_400.0 / depth_m**2
    if time < 0.05:
        return 2.0 * math.sqrt(time / math.pi)
    odd = [(2 * n + 1) * math.pi for n in range(20)]
    return 1.0 - sum(8.0 / k**2 * math.exp(-(k**2) / 4.0 * time) for k in odd)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterCharge:
    """What stands in one cubic metre of shell: water [kg], gas in all [kmol], gas the water held before the charge [kmol]."""

    gas: str
    water_kg: float
    gas_kmol: float
    held_before_kmol: float


def _at_rest_kmol(gas: str, water_kg: float, partial_abs_pa: float, t_k: float) -> float:
    x = dissolved_mole_fraction(gas, partial_abs_pa=partial_abs_pa, t_k=t_k)
    return x / (1.0 - x) * water_kg / _WATER_KG_KMOL


def _gas_kmol(charge: WaterCharge, partial_abs_pa: float, t_k: float, share: float) -> float:
    """All gas that a partial pressure [Pa] tells of, over and in the water, with `share` of the way to rest."""
    vapour = vapour_abs_pa(t_k)
    water_m3 = charge.water_kg / water_density_kg_m3(t_k=t_k, abs_pa=partial_abs_pa + vapour)
    if water_m3 >= 1.0:
        raise Refusal(
            what="the shell would be full of liquid",
            rule="water swells when it warms; some gas must be left above it",
            got=f"{t_k:.1f} K",
            do="check the ullage share, and do not heat the unit",
        )
    over = gases.density_kg_m3(charge.gas, abs_pa=partial_abs_pa, t_k=t_k) / gases.molar_mass_kg_kmol(charge.gas) * (1.0 - water_m3)
    rest = _at_rest_kmol(charge.gas, charge.water_kg, partial_abs_pa, t_k)
    return over + charge.held_before_kmol + share * (rest - charge.held_before_kmol)


def charged(gas: str, *, abs_pa: float, t_k: float, ullage_share: float) -> WaterCharge:
    """The state just after a charge without stirring: abs_pa [Pa, up to 51e5], t_k [K, 273.15 to 323.15], ullage_share 0.05 to 0.95.

    The water stood open to air before, so it already holds nitrogen at 0.79 atm. Raises `Refusal` outside the range.
    """
    gases.require_gas(gas)
    _check_temperature(t_k)
    if not ULLAGE_SHARE_MIN <= ullage_share <= ULLAGE_SHARE_MAX:
        raise Refusal(
            what="the ullage share is not one of a water unit",
            rule=f"the share of the shell above the water is {ULLAGE_SHARE_MIN} to {ULLAGE_SHARE_MAX}",
            got=f"{ullage_share:g}",
            do="give the free volume divided by the whole volume, as in 0.25",
        )
    water_kg = (1.0 - ullage_share) * water_density_kg_m3(t_k=t_k, abs_pa=abs_pa)
    air_pa = {"nitrogen": _NITROGEN_IN_AIR * ATM_PA, "air": ATM_PA}.get(gas, 0.0)
    held = _at_rest_kmol(gas, water_kg, air_pa, t_k)
    bare = WaterCharge(gas=gas, water_kg=water_kg, gas_kmol=0.0, held_before_kmol=held)
    return replace(bare, gas_kmol=_gas_kmol(bare, _partial(abs_pa, t_k), t_k, 0.0))


def _partial(abs_pa: float, t_k: float) -> float:
    partial = abs_pa - vapour_abs_pa(t_k)
    if not partial > 0:
        raise Refusal(
            what="there is no gas over the water",
            rule="the pressure in a charged unit is above the vapour pressure of water",
            got=f"{abs_pa / 1e5:.3f} bar absolute",
            do="read the gauge again",
        )
    return partial


@lru_cache(maxsize=20_000)  # a day's sheets ask the same again and again
def pressure_abs_pa(charge: WaterCharge, *, t_k: float, share: float) -> float:
    """Absolute pressure [Pa] at t_k [K] with `share` (0 unstirred to 1 at rest) of the solution done. Raises `Refusal`."""
    _check_temperature(t_k)
    highest = FORMS[charge.gas].shell.abs_pa_max
    partial = root_of_rising(lambda p: _gas_kmol(charge, p, t_k, share) - charge.gas_kmol, 0.0, highest, within=_WITHIN_PA)
    if partial > 0.999 * highest:
        raise Refusal(
            what="the pressure leaves the range of the gas model",
            rule=f"up to {highest / 1e5:g} bar absolute",
            got=f"at {t_k:.1f} K",
            do="check the charge pressure and the ullage share",
        )
    return partial + vapour_abs_pa(t_k)


def from_reading(charge: WaterCharge, *, abs_pa: float, t_k: float, share: float) -> WaterCharge:
    """The same water with the gas that a reading [Pa absolute] at t_k [K] tells of. Raises `Refusal`."""
    _check_temperature(t_k)
    return replace(charge, gas_kmol=_gas_kmol(charge, _partial(abs_pa, t_k), t_k, share))
