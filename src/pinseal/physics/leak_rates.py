"""Leak rates: std cm3/s beside psi a year, and what the bubble test can find.

1 std cm3/s is 0.101325 Pa m3/s at 0 C (exact by definition). A shell with free volume V loses, at 70 F, 0.101325 q (T_70F / 273.15 K) / V.
"""

from __future__ import annotations

from pinseal.measures import ATM_PA, T_70F_K
from pinseal.reasons import Refusal

YEAR_S = 365.25 * 86_400.0
# ASTM E515-11, scope: the normal limit of the bubble test; from 1e-4 up a leak is located reliably, below that it rests on the operator.
BUBBLE_LIMIT_STD_CM3_S, BUBBLE_SURE_STD_CM3_S = 1e-5, 1e-4


def _volume(free_volume_m3: float) -> float:
    if not 0 < free_volume_m3 < 10:
        raise Refusal(
            what="this is not the free volume of a shell",
            rule="the room that the gas has is above 0 and below 10 m3",
            got=f"{free_volume_m3 * 1000:g} L",
            do="give the water capacity less the volume of the agent",
        )
    return free_volume_m3


def pa_per_year(std_cm3_s: float, *, free_volume_m3: float) -> float:
    """Loss of pressure at 70 F [Pa/yr] from a leak rate [std cm3/s] out of a free volume [m3]. Ideal gas: within 1 % for nitrogen.

    >>> round(pa_per_year(1e-5, free_volume_m3=0.00388) / 6894.757, 1)
    1.3
    """
    return std_cm3_s * 1e-6 * ATM_PA * YEAR_S * (T_70F_K / 273.15) / _volume(free_volume_m3)


def std_cm3_s(loss_pa_per_year: float, *, free_volume_m3: float) -> float:
    """The leak rate [std cm3/s] behind a loss of pressure at 70 F [Pa/yr]. The way back of `pa_per_year`."""
    return loss_pa_per_year * 1e6 * _volume(free_volume_m3) / (ATM_PA * YEAR_S * (T_70F_K / 273.15))


def mol_s(leak_std_cm3_s: float) -> float:
    """A leak rate in mol/s: 4.4615e-5 for each std cm3/s.

    >>> f"{mol_s(1.0):.4e}"
    '4.4615e-05'
    """
    return leak_std_cm3_s * 1e-6 * ATM_PA / (8.314462618 * 273.15)


def bubble_test(leak_std_cm3_s: float) -> str:
    """Whether the bubble test would find it: `finds`, `may-find` (it rests on the operator) or `misses`."""
    if leak_std_cm3_s >= BUBBLE_SURE_STD_CM3_S:
        return "finds"
    return "may-find" if leak_std_cm3_s >= BUBBLE_LIMIT_STD_CM3_S else "misses"
