"""How warm a fast charge gets, and where it settles when it has cooled.

Gas that flows into a shell is compressed by what follows it and warms; when it cools to the shell's temperature the pressure
falls. First law for the open shell, per cubic metre of ullage:

    rho2 u2 - rho1 u1 - (rho2 - rho1) h_in + (C / V) (T2 - T0) = 0,  rho2 = rho(p_stop, T2),  p_settled = p(rho2, T0)

with h_in the enthalpy of the gas in the supply bottle (throttling keeps it) and C the heat capacity of the agent that the
inflow stirs: a fraction of the whole that no document gives, learned from pairs of (stopped at, settled at). What the wall of
the shell takes goes into that fraction too.

Energies of the real gas follow from its virial form (`gas_forms`), Z = 1 + sum_k B_k(x) r^k with x = 300 K / T, by
u = u_ideal(T) + R T x sum_k B_k'(x) r^k / k, which is exact for that form; the ideal part is fitted to CoolProp 8. The forms are
used here up to 500 K, beyond their fit, because a fill is that hot for seconds; tests compare energies and densities with CoolProp
over the whole range. Closed form for an ideal gas and no heat lost: T2 = gamma T0 / (1 + (gamma - 1) p1 / p2) (textbooks).
"""

from __future__ import annotations

from collections.abc import Callable

from pinseal.physics.gas_forms import FORMS, Form
from pinseal.reasons import Refusal

FILL_K_MAX = 500.0
SUPPLY_K_MIN, SUPPLY_K_MAX = 213.0, 345.0
_X_K = 300.0

# Enthalpy of the ideal gas above 300 K [J/mol] as powers 1, 2, 3 of (T / 300 K - 1), 205 to 435 K, within 0.3 J/mol of CoolProp 8.
_IDEAL: dict[str, tuple[float, float, float]] = {
    "nitrogen": (8737.0299, 25.8115, 60.5280),
    "air": (8730.7421, 66.6098, 89.8409),
    "argon": (6235.8826, 0.0, 0.0),
    "helium": (6235.8449, 0.0, 0.0),
}


def _slope(row: tuple[float, ...], x: float) -> float:
    return sum(k * c * x ** (k - 1) for k, c in enumerate(row) if k)


def _powers(row: tuple[float, ...], x: float) -> float:
    return sum(c * x**k for k, c in enumerate(row))


def _abs_pa(gas: str, form: Form, kmol_m3: float, kelvin: float) -> float:
    x = _X_K / kelvin
    z = 1.0 + sum(_powers(row, x) * kmol_m3**k for k, row in enumerate(form.rows, 1))
    return 1000.0 * kmol_m3 * FORMS[gas].gas_constant_j_mol_k * kelvin * z


def _kmol_m3(gas: str, form: Form, abs_pa: float, kelvin: float) -> float:
    """The density at a pressure. `gas` has the same solver behind a door of 345 K, which a fill passes for seconds."""
    return bisect(lambda r: _abs_pa(gas, form, r, kelvin) - abs_pa, 0.0, form.density_kmol_m3_max * 1.05)


def bisect(rises: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero between two ends, to the last bits by halving and secants.

    >>> round(bisect(lambda x: x * x - 2, 0, 2), 12)
    1.414213562373
    """
    at_low, at_high = rises(low), rises(high)
    assert at_low <= 0 <= at_high, "the ends of a search lie on both sides of its answer"
    for step in range(200):
        span = at_high - at_low
        mid = (low + high) / 2 if step % 2 or span == 0 else low - at_low * (high - low) / span
        value = rises(mid)
        if value <= 0:
            low, at_low = mid, value
        if value >= 0:
            high, at_high = mid, value
        if high - low <= 1e-13 * max(abs(low), abs(high)):
            break
    return (low + high) / 2


def _ideal_enthalpy(gas: str, kelvin: float) -> float:
    t = kelvin / _X_K - 1
    first, second, third = _IDEAL[gas]
    return first * t + second * t * t + third * t**3


def _residual(form: Form, gas_constant: float, kmol_m3: float, kelvin: float) -> float:
    """Internal energy above that of the ideal gas [J/mol]."""
    x = _X_K / kelvin
    return gas_constant * kelvin * x * sum(_slope(row, x) * kmol_m3**k / k for k, row in enumerate(form.rows, 1))


def shell_density_kmol_m3(gas: str, *, abs_pa: float, kelvin: float) -> float:
    """Density of the gas in a shell while it is filled [kmol/m3]; 213 to 500 K, at most 51 bar abs."""
    return _kmol_m3(gas, FORMS[gas].shell, abs_pa, kelvin)


def shell_abs_pa(gas: str, *, kmol_m3: float, kelvin: float) -> float:
    """Pressure of that gas [Pa abs]."""
    return _abs_pa(gas, FORMS[gas].shell, kmol_m3, kelvin)


def shell_energy_j_mol(gas: str, *, kmol_m3: float, kelvin: float) -> float:
    """Internal energy [J/mol] above the ideal gas's enthalpy at 300 K."""
    forms = FORMS[gas]
    r = forms.gas_constant_j_mol_k
    return _ideal_enthalpy(gas, kelvin) - r * kelvin + _residual(forms.shell, r, kmol_m3, kelvin)


def supply_enthalpy_j_mol(gas: str, *, abs_pa: float, kelvin: float) -> float:
    """Enthalpy of the gas in the supply bottle [J/mol] on the same scale; 213 to 345 K, at most 350 bar abs."""
    forms = FORMS[gas]
    if not (SUPPLY_K_MIN <= kelvin <= SUPPLY_K_MAX and 0 < abs_pa <= forms.supply.abs_pa_max):
        raise Refusal(
            what="no heating can be worked out for this supply",
            rule=f"the supply stands between {SUPPLY_K_MIN:g} and {SUPPLY_K_MAX:g} K (-76 to 161 F) at no more than 350 bar abs",
            got=f"{kelvin:.1f} K, {abs_pa / 1e5:.0f} bar abs",
            do="check the temperature and the pressure of the supply",
        )
    r = forms.gas_constant_j_mol_k
    kmol_m3 = _kmol_m3(gas, forms.supply, abs_pa, kelvin)
    return _ideal_enthalpy(gas, kelvin) - r * kelvin + _residual(forms.supply, r, kmol_m3, kelvin) + abs_pa / (1000.0 * kmol_m3)


def filled_k(
    gas: str,
    *,
    start_abs_pa: float,
    stop_abs_pa: float,
    shell_k: float,
    inlet_j_mol: float,
    stirred_j_m3_k: float,
) -> float:
    """Temperature of the gas when the flow stops [K]: the first law of the module's head.

    `start_abs_pa` is what stood in the shell before (air counts as the gas), `stirred_j_m3_k` the heat capacity in contact for
    each cubic metre of ullage. Range: shell 213 to 345 K, stop at most 51 bar abs.
    """
    r1 = shell_density_kmol_m3(gas, abs_pa=start_abs_pa, kelvin=shell_k)
    before = 1000.0 * r1 * (shell_energy_j_mol(gas, kmol_m3=r1, kelvin=shell_k) - inlet_j_mol)

    def excess(kelvin: float) -> float:
        r2 = shell_density_kmol_m3(gas, abs_pa=stop_abs_pa, kelvin=kelvin)
        now = 1000.0 * r2 * (shell_energy_j_mol(gas, kmol_m3=r2, kelvin=kelvin) - inlet_j_mol)
        return now - before + stirred_j_m3_k * (kelvin - shell_k)

    return bisect(excess, shell_k - 60.0, FILL_K_MAX)


def settled_abs_pa(
    gas: str,
    *,
    start_abs_pa: float,
    stop_abs_pa: float,
    shell_k: float,
    inlet_j_mol: float,
    stirred_j_m3_k: float,
) -> float:
    """Pressure when the gas has cooled to the shell's temperature [Pa abs]; parameters as in `filled_k`."""
    hot_k = filled_k(
        gas,
        start_abs_pa=start_abs_pa,
        stop_abs_pa=stop_abs_pa,
        shell_k=shell_k,
        inlet_j_mol=inlet_j_mol,
        stirred_j_m3_k=stirred_j_m3_k,
    )
    r2 = shell_density_kmol_m3(gas, abs_pa=stop_abs_pa, kelvin=hot_k)
    return shell_abs_pa(gas, kmol_m3=r2, kelvin=shell_k)
