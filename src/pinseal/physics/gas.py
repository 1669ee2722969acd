"""A gas in a closed shell: density, pressure, and the reading referred to another temperature.

Equation: p = 1000 R T r (1 + sum of B_i(T) r^i), r in kmol/m3, each B_i a polynomial in 300 K / T, fitted to the reference
equations in CoolProp (nitrogen: J. Phys. Chem. Ref. Data 29 (2000) 1361; argon: 28 (1999) 779; air: 29 (2000) 331; helium as
CoolProp cites it) by `tools/fit_gases.py`. Two forms: one for shells up to 51 bar abs, one for supply cylinders up to
350 bar abs; both from 213 to 345 K. The relative error of a pressure is at most 2e-5 for shells and 6e-5 for supply.

Assumptions: dry gas of one kind (the one atmosphere of air left in a shell moves nothing that a gauge shows), rigid shell,
powder that neither expands nor takes up gas, one temperature throughout.

Every function takes floats or NumPy arrays; floats need no NumPy. Where any argument is an array, the answer is one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar, cast

from pinseal.measures import ATM_PA, LB_KG, PSI_PA, T_70F_K
from pinseal.physics.gas_forms import FORMS, T_K_MAX, T_K_MIN, Form
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Values = float | Array
    Num = TypeVar("Num", float, NDArray[np.float64])

GASES = tuple(FORMS)
T_REFERENCE_K = T_70F_K
# The standard state of a cubic foot of gas in this trade: 70 F and 14.696 psia.
SCF_ABS_PA = 14.696 * float(PSI_PA)
_FT3_M3 = 0.3048**3
_BLOCK = 16_384  # numbers that stay in the processor's cache while a block is worked through


def require_gas(gas: str) -> str:
    """Return the code of a gas that has a form. Raises `Refusal` for any other."""
    if gas in FORMS:
        return gas
    condenses = "; carbon dioxide condenses in a cold shell, so no gas law fits it" if "co2" in gas.casefold() else ""
    raise Refusal(
        what="no gas law is held for this gas",
        rule=f"a gas is one of {', '.join(GASES)}{condenses}",
        got=gas,
        do="name the gas that is on the nameplate",
    )


def _ends(values: Any) -> tuple[float, float]:
    """The least and the greatest of the values; not a number anywhere gives not a number."""
    return (float(values.min()), float(values.max())) if hasattr(values, "min") else (float(values), float(values))


def check_temperature(t_k: Values) -> None:
    """Raises `Refusal` outside 213 to 345 K."""
    low, high = _ends(t_k)
    if not (low >= T_K_MIN and high <= T_K_MAX):
        raise Refusal(
            what="the temperature is outside the range of the gas model",
            rule=f"{T_K_MIN:g} to {T_K_MAX:g} K, that is -76 to 161 F",
            got=f"{low:.1f} to {high:.1f} K" if low != high else f"{low:.1f} K",
            do="bring the unit to an ordinary temperature and read again",
        )


def _check_pressure(abs_pa: Values, form: Form) -> None:
    low, high = _ends(abs_pa)
    if not (low >= 0 and high <= form.abs_pa_max):
        raise Refusal(
            what="the pressure is outside the range of the gas model",
            rule=f"0 to {form.abs_pa_max / 1e5:g} bar absolute, that is up to {form.abs_pa_max / float(PSI_PA):.0f} psia",
            got=f"{(high if low >= 0 else low) / 1e5:.2f} bar absolute",
            do="check the figure and its unit; a supply cylinder has its own sum",
        )


def _coefficients(form: Form, t_k: Any) -> list[Any]:
    """B_1, B_2 ... at a temperature [m3/kmol, (m3/kmol)^2 ...]."""
    x, found = 300.0 / t_k, []
    for row in form.rows:
        value = row[-1]
        for coefficient in reversed(row[:-1]):
            value = value * x + coefficient
        found.append(value)
    return found


def _pressure(rt: Any, terms: list[Any], r: Any) -> Any:
    """Absolute pressure [Pa] from the density r [kmol/m3]; rt = 1000 R T."""
    z = terms[-1]
    for term in reversed(terms[:-1]):
        z = z * r + term
    return (z * r + 1.0) * r * rt


def _density(rt: Any, terms: list[Any], abs_pa: Any) -> Any:
    """Density [kmol/m3] from the absolute pressure [Pa], by Newton's steps.

    The short form starts from its second coefficient and is at rest after two steps; the wide one starts from the ideal gas.
    The pressure rises with the density all over the range: each gas is far above its critical temperature.
    """
    target = abs_pa / rt
    short = len(terms) == 3
    r = target / (1.0 + terms[0] * target) if short else target
    for _ in range(2 if short else 7):
        z, slope = terms[-1], 0.0
        for term in (*reversed(terms[:-1]), 1.0):
            slope = slope * r + z
            z = z * r + term
        r = r - (z * r - target) / (z + slope * r)
    return r


def _mass_density(gas: str, form: Form, abs_pa: Any, t_k: Any) -> Any:
    check_temperature(t_k)
    _check_pressure(abs_pa, form)
    about = FORMS[gas]
    rt = 1000.0 * about.gas_constant_j_mol_k * t_k
    return _density(rt, _coefficients(form, t_k), abs_pa) * about.molar_mass_kg_kmol


def _abs_pressure(gas: str, form: Form, density_kg_m3: Any, t_k: Any) -> Any:
    check_temperature(t_k)
    about = FORMS[gas]
    r = density_kg_m3 / about.molar_mass_kg_kmol
    low, high = _ends(r)
    if not (low >= 0 and high <= form.density_kmol_m3_max):
        raise Refusal(
            what="the density is outside the range of the gas model",
            rule=f"0 to {form.density_kmol_m3_max * about.molar_mass_kg_kmol:.0f} kg/m3 of {gas}",
            got=f"{(high if low >= 0 else low) * about.molar_mass_kg_kmol:.2f} kg/m3",
            do="check the mass and the volume",
        )
    abs_pa = _pressure(1000.0 * about.gas_constant_j_mol_k * t_k, _coefficients(form, t_k), r)
    _check_pressure(abs_pa, form)
    return abs_pa


def density_kg_m3(gas: str, *, abs_pa: Num, t_k: Values) -> Num:
    """Density of a gas in a shell.

    Parameters: gas, one of `GASES`; abs_pa [Pa], 0 to 51e5; t_k [K], 213 to 345. Returns: density [kg/m3]. Raises `Refusal`.

    >>> round(density_kg_m3("nitrogen", abs_pa=1445802.0, t_k=294.261), 3)
    16.602
    """
    return cast("Num", _mass_density(require_gas(gas), FORMS[gas].shell, abs_pa, t_k))


def pressure_abs_pa(gas: str, *, density_kg_m3: Num, t_k: Values) -> Num:
    """Absolute pressure [Pa] of a gas in a shell, from its density [kg/m3] and temperature [K]. The way back of `density_kg_m3`."""
    return cast("Num", _abs_pressure(require_gas(gas), FORMS[gas].shell, density_kg_m3, t_k))


def supply_density_kg_m3(gas: str, *, abs_pa: Num, t_k: Values) -> Num:
    """Density [kg/m3] of a gas in a supply cylinder: abs_pa [Pa] 0 to 350e5, t_k [K] 213 to 345. Raises `Refusal`."""
    return cast("Num", _mass_density(require_gas(gas), FORMS[gas].supply, abs_pa, t_k))


def supply_pressure_abs_pa(gas: str, *, density_kg_m3: Num, t_k: Values) -> Num:
    """Absolute pressure [Pa] in a supply cylinder from its density [kg/m3] and temperature [K]. Raises `Refusal`."""
    return cast("Num", _abs_pressure(require_gas(gas), FORMS[gas].supply, density_kg_m3, t_k))


def _refer(gas: str, form: Form, gauge_pa: Any, t_k: Any, to_t_k: Any, atmosphere_pa: Any, to_atmosphere_pa: Any) -> Any:
    """The same mass in the same room at another temperature; ranges are checked on the way in and on the way out."""
    abs_pa = gauge_pa + atmosphere_pa
    check_temperature(t_k)
    check_temperature(to_t_k)
    _check_pressure(abs_pa, form)
    per_k = 1000.0 * FORMS[gas].gas_constant_j_mol_k
    r = _density(per_k * t_k, _coefficients(form, t_k), abs_pa)
    other = _pressure(per_k * to_t_k, _coefficients(form, to_t_k), r)
    _check_pressure(other, form)
    return other - to_atmosphere_pa


def _refer_in_blocks(gas: str, form: Form, values: tuple[Any, ...]) -> Any:
    """As `_refer`, for long arrays in pieces that stay in the cache."""
    sizes = {value.size for value in values if getattr(value, "ndim", 0) == 1}
    if len(sizes) != 1 or max(sizes) <= _BLOCK or any(getattr(value, "ndim", 0) > 1 for value in values):
        return _refer(gas, form, *values)
    import numpy as np

    size = sizes.pop()
    answer = np.empty(size)
    for start in range(0, size, _BLOCK):
        piece = slice(start, start + _BLOCK)
        answer[piece] = _refer(gas, form, *(value[piece] if getattr(value, "ndim", 0) == 1 else value for value in values))
    return answer


def refer_gauge_pa(
    gas: str, *, gauge_pa: Num, t_k: Values, to_t_k: Values, atmosphere_pa: Values = ATM_PA, to_atmosphere_pa: Values | None = None
) -> Num:
    """A reading of a shell referred to another temperature: rho = rho(p, T), then p' = p(rho, T').

    Parameters: gauge_pa [Pa] with atmosphere_pa [Pa] around the gauge, together up to 51e5; t_k, to_t_k [K], 213 to 345;
    to_atmosphere_pa [Pa], the air around the gauge in the answer, the same air unless said. Returns: gauge pressure [Pa].
    Raises `Refusal` outside the range. Source: see the module.

    >>> psi = 6894.757293168361
    >>> round(refer_gauge_pa("nitrogen", gauge_pa=195 * psi, t_k=294.2611, to_t_k=255.3722) / psi, 2)
    166.3
    """
    after = atmosphere_pa if to_atmosphere_pa is None else to_atmosphere_pa
    values = (gauge_pa, t_k, to_t_k, atmosphere_pa, after)
    return cast("Num", _refer_in_blocks(require_gas(gas), FORMS[gas].shell, values))


def refer_supply_gauge_pa(gas: str, *, gauge_pa: Num, t_k: Values, to_t_k: Values, atmosphere_pa: Values = ATM_PA) -> Num:
    """A reading of a supply cylinder [Pa] referred to another temperature [K]; up to 350 bar absolute. Raises `Refusal`.

    >>> psi = 6894.757293168361
    >>> round(refer_supply_gauge_pa("nitrogen", gauge_pa=1900 * psi, t_k=266.4833, to_t_k=294.2611) / psi)
    2176
    """
    values = (gauge_pa, t_k, to_t_k, atmosphere_pa, atmosphere_pa)
    return cast("Num", _refer_in_blocks(require_gas(gas), FORMS[gas].supply, values))


def molar_mass_kg_kmol(gas: str) -> float:
    """Molar mass [kg/kmol] of a gas, as its reference equation has it."""
    return FORMS[require_gas(gas)].molar_mass_kg_kmol


def scf_per_kg(gas: str) -> float:
    """Cubic feet at 70 F and 14.696 psia that one kilogram of a gas fills.

    >>> round(scf_per_kg("nitrogen") * 0.45359237, 2)
    13.8
    """
    return 1.0 / (density_kg_m3(gas, abs_pa=SCF_ABS_PA, t_k=T_REFERENCE_K) * _FT3_M3)


def scf_per_lb(gas: str) -> float:
    """Cubic feet at 70 F and 14.696 psia that one pound of a gas fills."""
    return scf_per_kg(gas) * float(LB_KG)


# US Standard Atmosphere 1976 (NOAA/NASA/USAF, NOAA-S/T 76-1562), lowest layer.
_EARTH_M, _LAPSE_K_M, _SEA_T_K = 6_356_766.0, 0.0065, 288.15
_EXPONENT = 9.80665 * 28.9644 / (8314.32 * _LAPSE_K_M)
ELEVATION_M_MIN, ELEVATION_M_MAX = -1000.0, 9000.0


def standard_atmosphere_pa(elevation_m: float) -> float:
    """The air's absolute pressure [Pa] at an elevation [m, -1000 to 9000] above the sea, by the standard atmosphere of 1976.

    p = 101325 (1 - L h / T0)^(g M / (R L)) with the geopotential height h = z a / (a + z). Weather moves the true pressure by
    about 3 kPa either way (common practice, no source). Raises `Refusal` outside the range.

    >>> round(standard_atmosphere_pa(1000.0))
    89876
    """
    if not ELEVATION_M_MIN <= elevation_m <= ELEVATION_M_MAX:
        raise Refusal(
            what="no extinguisher is kept at this elevation",
            rule=f"an elevation is {ELEVATION_M_MIN:g} to {ELEVATION_M_MAX:g} m above the sea",
            got=f"{elevation_m:g} m",
            do="check the figure and its unit",
        )
    height_m = elevation_m * _EARTH_M / (_EARTH_M + elevation_m)
    return float(ATM_PA * (1.0 - _LAPSE_K_M * height_m / _SEA_T_K) ** _EXPONENT)
