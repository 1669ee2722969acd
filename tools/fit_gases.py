"""Fit the two virial forms of each gas to CoolProp and print `src/pinseal/physics/gas_forms.py`.

    python -m tools.fit_gases > src/pinseal/physics/gas_forms.py

Z(r, x) - 1 = sum over i, j of c[i][j] x^j r^(i+1), with r in kmol/m3 and x = 300 K / T, by least squares on a grid that is dense at
its edges. CoolProp holds the reference equations: nitrogen J. Phys. Chem. Ref. Data 29 (2000) 1361, argon 28 (1999) 779, air 29 (2000)
331, helium as CoolProp cites it.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from CoolProp.CoolProp import PropsSI
from numpy.polynomial.chebyshev import chebpts1
from numpy.typing import NDArray

Array = NDArray[np.float64]

GASES = {"nitrogen": "Nitrogen", "argon": "Argon", "air": "Air", "helium": "Helium"}
T_K_MIN, T_K_MAX = 213.0, 345.0
# name: (highest absolute pressure [Pa], degree in x of each power of the density)
SHAPES = {"shell": (51e5, (4, 3, 1)), "supply": (350e5, (4, 4, 3, 3, 3, 3, 3))}


def grid(fluid: str, abs_pa_max: float) -> tuple[Array, Array, Array]:
    """States that cover the range: temperature [K], pressure [Pa], density [kmol/m3]."""
    middle, half = (1 / T_K_MIN + 1 / T_K_MAX) / 2, (1 / T_K_MIN - 1 / T_K_MAX) / 2
    t_k, abs_pa = (a.ravel() for a in np.meshgrid(1 / (middle + half * chebpts1(40)), abs_pa_max * (0.5 + 0.5 * chebpts1(60))))
    return t_k, abs_pa, PropsSI("Dmolar", "T", t_k, "P", abs_pa, fluid) / 1000


def fit(fluid: str, shape: str, gas_constant: float) -> tuple[tuple[tuple[float, ...], ...], float]:
    """Coefficients of one form, and the largest relative error of the pressure on the grid."""
    abs_pa_max, degrees = SHAPES[shape]
    t_k, abs_pa, r = grid(fluid, abs_pa_max)
    z, x = abs_pa / (1000 * r * gas_constant * t_k), 300 / t_k
    columns = np.stack([x**j * r**i for i, degree in enumerate(degrees, 1) for j in range(degree + 1)], axis=1)
    scale = np.abs(columns).max(axis=0)
    flat = np.linalg.lstsq(columns / scale, z - 1, rcond=None)[0] / scale
    error = float(np.abs((columns @ flat + 1) / z - 1).max())
    ends = np.cumsum([0, *(degree + 1 for degree in degrees)])
    return tuple(tuple(float(f"{c:.12g}") for c in flat[a:b]) for a, b in pairwise(ends)), error


def printed(gas: str, fluid: str) -> str:
    """The lines of one gas."""
    gas_constant, molar_mass = PropsSI("gas_constant", fluid), PropsSI("M", fluid)
    lines = [
        f'    "{gas}": Forms(',
        f"        molar_mass_kg_kmol={molar_mass * 1000:.9g},",
        f"        gas_constant_j_mol_k={gas_constant!r},",
    ]
    for shape, (abs_pa_max, _) in SHAPES.items():
        rows, error = fit(fluid, shape, gas_constant)
        densest = PropsSI("Dmolar", "T", T_K_MIN, "P", abs_pa_max, fluid) / 1000
        lines += [f"        # largest relative error of the pressure on the grid of the fit: {error:.0e}", f"        {shape}=Form("]
        lines += [f"            abs_pa_max={abs_pa_max!r},", f"            density_kmol_m3_max={densest:.9g},", "            rows=("]
        lines += [f"                ({', '.join(map(repr, row))})," for row in rows]
        lines += ["            ),", "        ),"]
    return "\n".join([*lines, "    ),"])


def main() -> None:
    print('"""Coefficients of the virial forms of each gas, printed by tools/fit_gases.py: do not edit by hand."""')
    print("\nfrom __future__ import annotations\n\nfrom dataclasses import dataclass\n")
    print(f"T_K_MIN, T_K_MAX = {T_K_MIN}, {T_K_MAX}\n\n")
    print("@dataclass(frozen=True, slots=True, kw_only=True)\nclass Form:")
    print('    """Z - 1 as powers of the density [kmol/m3]; each row is a polynomial in 300 K / T, constant first."""\n')
    print("    abs_pa_max: float\n    density_kmol_m3_max: float\n    rows: tuple[tuple[float, ...], ...]\n\n")
    print("@dataclass(frozen=True, slots=True, kw_only=True)\nclass Forms:")
    print('    """One gas: the exact form for shells (up to 51 bar abs) and the wide one for supply cylinders (up to 350 bar abs)."""\n')
    print("    molar_mass_kg_kmol: float\n    gas_constant_j_mol_k: float\n    shell: Form\n    supply: Form\n\n")
    print("FORMS: dict[str, Forms] = {")
    print("\n".join(printed(gas, fluid) for gas, fluid in GASES.items()))
    print("}  # fmt: skip")


if __name__ == "__main__":
    main()
