"""Carbon dioxide units: what the pressure is, and why it says nothing about the charge.

Equation: mean density = fill mass / water capacity. While liquid is left, the pressure is the vapour pressure at the shell's temperature,
whatever the fill. Above the temperature at which the liquid fills the shell, T_full, with rho_liquid(T_full) = fill density, the pressure
is that of one phase at the fill density.

Sources: vapour pressure and the densities of the saturated phases, the short equations of J. Phys. Chem. Ref. Data 25 (1996) 1509; one
phase, its reference equation in CoolProp, loaded only here. Filling limits: 49 CFR 173.304a table 1.

Range: 217 to 345 K, fill 400 to 760 kg/m3. Rigid shell: a steel shell's stretch lowers the one-phase pressure by about 0.4 %.
"""

from __future__ import annotations

import math

from pinseal.reasons import Refusal

T_K_MIN, T_K_MAX = 217.0, 345.0
FILL_KG_M3_MIN, FILL_KG_M3_MAX = 400.0, 760.0
# Above this the short equation of the liquid is off by more than a part in a thousand, and liquid and vapour are nearly alike.
_NEAR_CRITICAL_K = 304.0
_T_CRITICAL_K, _P_CRITICAL_PA, _RHO_CRITICAL_KG_M3 = 304.1282, 7.3773e6, 467.6


def _check(t_k: float, fill_kg_m3: float | None = None) -> None:
    if not T_K_MIN <= t_k <= T_K_MAX:
        raise Refusal(
            what="the temperature is outside the range of the carbon dioxide model",
            rule=f"{T_K_MIN:g} to {T_K_MAX:g} K, that is -69 to 161 F",
            got=f"{t_k:.1f} K",
            do="weigh the unit; its pressure is no evidence anyway",
        )
    if fill_kg_m3 is not None and not FILL_KG_M3_MIN <= fill_kg_m3 <= FILL_KG_M3_MAX:
        raise Refusal(
            what="the fill is outside the range of the carbon dioxide model",
            rule=f"{FILL_KG_M3_MIN / 1000:g} to {FILL_KG_M3_MAX / 1000:g} kg of carbon dioxide for each litre of water capacity",
            got=f"{fill_kg_m3 / 1000:.3f} kg/L",
            do="divide the charge on the nameplate by the water capacity",
        )


def _sum(t_k: float, terms: tuple[tuple[float, float], ...]) -> float:
    left = 1.0 - t_k / _T_CRITICAL_K
    return math.fsum(a * left**b for a, b in terms)


def saturation_abs_pa(t_k: float) -> float:
    """Vapour pressure [Pa] at t_k [K, 217 to 304.1]. Within 5e-5 of the reference equation.

    >>> round(saturation_abs_pa(280.0) / 1e6, 4)
    4.1607
    """
    _check(t_k)
    assert t_k <= _T_CRITICAL_K, "there is no vapour pressure above the critical temperature"
    terms = ((-7.0602087, 1.0), (1.9391218, 1.5), (-1.6463597, 2.0), (-3.2995634, 4.0))
    return _P_CRITICAL_PA * math.exp(_T_CRITICAL_K / t_k * _sum(t_k, terms))


def liquid_kg_m3(t_k: float) -> float:
    """Density of the liquid [kg/m3] at its vapour pressure, t_k [K, 217 to 304]. Within 1e-4, near 304 K 2e-3."""
    _check(t_k)
    terms = ((1.9245108, 0.34), (-0.62385555, 0.5), (-0.32731127, 10 / 6), (0.39245142, 11 / 6))
    return _RHO_CRITICAL_KG_M3 * math.exp(_sum(t_k, terms))


def vapour_kg_m3(t_k: float) -> float:
    """Density of the vapour [kg/m3] over the liquid, t_k [K, 217 to 304]. Within 2e-4."""
    _check(t_k)
    terms = ((-1.7074879, 0.34), (-0.8227467, 0.5), (-4.6008549, 1.0), (-10.111178, 7 / 3), (-29.742252, 14 / 3))
    return _RHO_CRITICAL_KG_M3 * math.exp(_sum(t_k, terms))


def liquid_full_k(*, fill_kg_m3: float) -> float:
    """Temperature [K] at which the liquid fills the shell; fill_kg_m3 [kg/m3, 531 to 760].

    Below 531 kg/m3 the unit passes the critical temperature before, and the answer is that temperature.

    >>> round(liquid_full_k(fill_kg_m3=680.0) - 273.15, 2)
    26.81
    """
    _check(T_K_MIN, fill_kg_m3)
    if fill_kg_m3 <= liquid_kg_m3(_NEAR_CRITICAL_K):
        return _T_CRITICAL_K
    low, high = T_K_MIN, _NEAR_CRITICAL_K
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (middle, high) if liquid_kg_m3(middle) > fill_kg_m3 else (low, middle)
    return (low + high) / 2.0


def pressure_abs_pa(*, fill_kg_m3: float, t_k: float) -> float:
    """Absolute pressure [Pa] of a full unit: fill_kg_m3 [kg/m3, 400 to 760], t_k [K, 217 to 345]. Raises `Refusal`.

    Below T_full the vapour pressure, whatever the fill; above it CoolProp is loaded. Never draw a smooth curve across T_full.
    """
    _check(t_k, fill_kg_m3)
    if t_k <= liquid_full_k(fill_kg_m3=fill_kg_m3):
        return saturation_abs_pa(min(t_k, _T_CRITICAL_K))
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("P", "T", t_k, "D", fill_kg_m3, "CarbonDioxide"))


def share_that_holds_pressure(*, fill_kg_m3: float, t_k: float) -> float:
    """Share of the full charge below which the pressure begins to fall at t_k [K, 217 to 304]: no liquid is left.

    Until then a unit that has lost the rest shows the pressure of a full one.

    >>> round(share_that_holds_pressure(fill_kg_m3=680.0, t_k=293.15), 3)
    0.286
    """
    _check(t_k, fill_kg_m3)
    return min(1.0, vapour_kg_m3(t_k) / fill_kg_m3) if t_k <= _NEAR_CRITICAL_K else 1.0
