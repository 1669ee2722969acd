"""What a shell does under test pressure: total, permanent and elastic expansion, and the water that a direct test must allow for.

Volumes are exact fractions of a cubic metre, so that a ratio that equals its limit is seen to equal it. Percent is
never rounded before it is compared.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from pinseal.measures import ZERO_C_K, GaugePa
from pinseal.reasons import Refusal

CM3 = Fraction(1, 10**6)
# The larger of these two is what an expansion indicator must be good to (29 CFR 1910.157(f)(15), public copy).
TOLERANCE_SHARE, TOLERANCE_LEAST_M3 = Fraction(1, 100), CM3 / 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Expansion:
    """One expansion test. Made by `expansion`, which refuses what cannot be."""

    total_m3: Fraction
    permanent_m3: Fraction

    @property
    def elastic_m3(self) -> Fraction:
        """Elastic = total - permanent (49 CFR 180.203)."""
        return self.total_m3 - self.permanent_m3

    @property
    def percent_permanent(self) -> Fraction:
        """100 x permanent / total, exact [percent]."""
        return 100 * self.permanent_m3 / self.total_m3

    def percent_range(self, tolerance_m3: Fraction) -> tuple[Fraction, Fraction]:
        """The lowest and highest percent, if either volume is wrong by `tolerance_m3` [m3]."""
        low = 100 * max(self.permanent_m3 - tolerance_m3, Fraction(0)) / (self.total_m3 + tolerance_m3)
        if self.total_m3 <= tolerance_m3:
            return low, Fraction(100)
        return low, min(100 * (self.permanent_m3 + tolerance_m3) / (self.total_m3 - tolerance_m3), Fraction(100))


# Less than this no burette shows; a shell that grows by more is no shell.
TOTAL_LEAST_M3, TOTAL_MOST_M3 = CM3 / 100, Fraction(1, 10)


def cm3_words(volume_m3: Fraction) -> str:
    """A volume in cm3 for people.

    >>> cm3_words(92 * CM3), cm3_words(Fraction(10) ** 400)
    ('92 cm3', 'over a million m3')
    """
    return f"{float(volume_m3 / CM3):.6g} cm3" if abs(volume_m3) < 10**6 else "over a million m3"


def expansion(*, total_m3: Fraction, permanent_m3: Fraction) -> Expansion:
    """An expansion test from its two volumes [m3]: 0 <= permanent <= total, total 0.01 cm3 to 0.1 m3.

    Raises `Refusal` outside that range. Source: 49 CFR 180.203 (2004), definitions of total, permanent and elastic expansion.

    >>> float(expansion(total_m3=180 * CM3, permanent_m3=18 * CM3).percent_permanent)
    10.0
    """
    got = f"total {cm3_words(total_m3)}, permanent {cm3_words(permanent_m3)}"
    if permanent_m3 < 0:
        raise Refusal(
            what="the permanent expansion is below zero",
            rule="a shell does not end smaller than it began",
            got=got,
            do="look for a leak, for trapped air and for a drift of the water's temperature, and test again",
        )
    if not TOTAL_LEAST_M3 <= total_m3 <= TOTAL_MOST_M3:
        raise Refusal(
            what="this is not a total expansion that can be judged",
            rule="a shell under test pressure grows by more than nothing: from 0.01 cm3 to 100 L can be judged",
            got=got,
            do="read the instrument again; a reading of zero means that it did not follow the shell",
        )
    if permanent_m3 > total_m3:
        raise Refusal(
            what="the permanent expansion is larger than the total",
            rule="permanent is the part of the total that stays after the pressure is released",
            got=got,
            do="check that the two readings were not exchanged",
        )
    return Expansion(total_m3=total_m3, permanent_m3=permanent_m3)


def tolerance_m3(total_m3: Fraction) -> Fraction:
    """How well an expansion of this size must be known [m3]: 1 % of the total, or 0.1 cm3 if that is larger.

    Source: 29 CFR 1910.157(f)(15), public copy.

    >>> float(tolerance_m3(200 * CM3) / CM3), float(tolerance_m3(8 * CM3) / CM3)
    (2.0, 0.1)
    """
    return max(total_m3 * TOLERANCE_SHARE, TOLERANCE_LEAST_M3)


# -- direct expansion: the water itself is squeezed

# Mean share by which water is squeezed at 22.5 MPa (gauge), 5 to 36 C, degree by degree. Second-hand: a note in Chinese
# without a date that reproduces the table of the GB/T 9251 family. Compare with annex B of the edition you work by.
_GB_MPA = 22.5
_GB_FIRST_C = 5
_GB_SHARE = (
    0.01078, 0.01071, 0.01065, 0.01059, 0.01053, 0.01048, 0.01044, 0.01040, 0.01036, 0.01033, 0.01029,
    0.01025, 0.01022, 0.01019, 0.01016, 0.01013, 0.01010, 0.01008, 0.01006, 0.01004, 0.01001, 0.00999,
    0.00997, 0.00996, 0.00994, 0.00992, 0.00991, 0.00990, 0.00989, 0.00988, 0.00986, 0.00985,
)  # fmt: skip
# K of C = m P (K - 0.68 P / 100 000), C in cm3, m in kg of water, P in bar (from memory: ISO and British cylinder standards).
_K_FORM = ((6.0, 0.04915), (10.0, 0.04812), (15.0, 0.04725), (20.0, 0.04654), (25.0, 0.04604))

# Our fit to IAPWS-95, 0 to 50 C and 0.3 to 80 MPa above the air: share / MPa = sum c[i][j] (t/50)^i (P/100)^j, t in C, P in MPa.
# Largest error of the share: 0.003 % of itself (tests/physics/test_expansion.py against the library iapws).
_IAPWS_SHARE = (
    (5.088430672e-04, -8.542013769e-05, 1.335956102e-05, -1.782665778e-06),
    (-1.918467134e-04, 7.378306283e-05, -1.598697678e-05, 2.273379932e-06),
    (2.183137082e-04, -1.248743938e-04, 3.982623051e-05, -6.437354521e-06),
    (-1.576619682e-04, 1.259036816e-04, -4.712590404e-05, 7.014544986e-06),
    (8.557604623e-05, -8.030293881e-05, 3.220861884e-05, -4.447005634e-06),
    (-2.150000796e-05, 2.183123935e-05, -8.974232274e-06, 1.132560101e-06),
)
# Density of water at 1 atm [kg/m3], 0 to 50 C, largest error 0.0001 kg/m3 against the same library.
_IAPWS_DENSITY = (999.84310327, 3.38037785, -22.62659095, 12.46845338, -7.74334544, 3.45666168, -0.74362771)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterTable:
    """How one standard counts the squeezing of water: the share of its volume, its range and where it comes from."""

    code: str
    title: str
    checked: str
    celsius: tuple[float, float]
    mpa: tuple[float, float]
    share: Callable[[float, float], float]


def _polynomial(coefficients: tuple[float, ...], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def _iapws_share(mpa: float, celsius: float) -> float:
    return mpa * _polynomial(tuple(_polynomial(row, mpa / 100) for row in _IAPWS_SHARE), celsius / 50)


def water_density_kg_m3(celsius: float) -> float:
    """Density of fresh water at 1 atm [kg/m3] at `celsius` [C], 0 to 50. Source: our fit to IAPWS-95."""
    return _polynomial(_IAPWS_DENSITY, celsius / 50)


def _between(points: tuple[tuple[float, float], ...], x: float) -> float:
    """A straight line between the two neighbours of `x`."""
    for (left, low), (right, high) in pairwise(points):
        if x <= right:
            return low + (high - low) * (x - left) / (right - left)
    return points[-1][1]


def _gb_share(mpa: float, celsius: float) -> float:
    points = tuple((float(_GB_FIRST_C + i), share) for i, share in enumerate(_GB_SHARE))
    return _between(points, celsius) * mpa / _GB_MPA


def _k_form_share(mpa: float, celsius: float) -> float:
    bar = mpa * 10
    return bar * (_between(_K_FORM, celsius) - 0.68 * bar / 100_000) * water_density_kg_m3(celsius) * 1e-6


WATER_TABLES: Mapping[str, WaterTable] = {
    table.code: table
    for table in (
        WaterTable(
            code="k-form",
            title="K-form of the ISO and British cylinder standards",
            checked="memory",
            celsius=(6.0, 25.0),
            mpa=(0.3, 60.0),
            share=_k_form_share,
        ),
        WaterTable(
            code="gb-t-9251",
            title="table of the GB/T 9251 family at 22.5 MPa",
            checked="second-hand",
            celsius=(5.0, 36.0),
            mpa=(22.0, 23.0),
            share=_gb_share,
        ),
        WaterTable(
            code="iapws-95",
            title="IAPWS-95, the scientific equation; no test standard's table",
            checked="public copy",
            celsius=(0.0, 50.0),
            mpa=(0.3, 80.0),
            share=_iapws_share,
        ),
    )
}


def compression_share(*, table: str, test_gauge_pa: GaugePa, water_k: float) -> float:
    """The share of its volume that water loses when it is brought from the air's pressure to the test pressure.

    `table`: a key of `WATER_TABLES`. `test_gauge_pa`: test pressure above the air [Pa]. `water_k`: temperature of the
    water [K]. Raises `Refusal` outside the range of the table: nothing is extended beyond its ends.
    """
    chosen = WATER_TABLES[table]
    celsius, mpa = water_k - float(ZERO_C_K), test_gauge_pa / 1e6
    # A thousandth of a degree or of a per mille is the arithmetic of units, not another temperature.
    if not chosen.celsius[0] - 1e-3 <= celsius <= chosen.celsius[1] + 1e-3:
        raise Refusal(
            what=f"the {chosen.title} does not reach this temperature of the water",
            rule=f"it runs from {chosen.celsius[0]:g} to {chosen.celsius[1]:g} C",
            got=f"{celsius:.1f} C",
            do="bring the water into that range, or name the table of your standard that covers it",
        )
    if not chosen.mpa[0] * 0.999 <= mpa <= chosen.mpa[1] * 1.001:
        raise Refusal(
            what=f"the {chosen.title} does not reach this test pressure",
            rule=f"it is held from {chosen.mpa[0]:g} to {chosen.mpa[1]:g} MPa ({chosen.mpa[0] * 10:g} to {chosen.mpa[1] * 10:g} bar)",
            got=f"{mpa:.2f} MPa",
            do="check the unit of the pressure, or name the table of your standard that covers it",
        )
    return chosen.share(mpa, celsius)


def direct_total_m3(*, forced_in_m3: Fraction, take_up_m3: Fraction, water_capacity_m3: Fraction, share: float) -> Fraction:
    """Total expansion of a direct test [m3]: A - B - (V + A - B) k.

    A `forced_in_m3`: water pumped in to reach the test pressure [m3]. B `take_up_m3`: what the pump, pipes and gauge take up by
    themselves at that pressure [m3]. V `water_capacity_m3` [m3]. k `share`: from `compression_share`.
    Source: a second-hand note that reproduces the GB/T 9251 family; it follows from the balance of the water.
    Raises `Refusal` if nothing is left for the shell.
    """
    into_shell = forced_in_m3 - take_up_m3
    if take_up_m3 < 0 or water_capacity_m3 <= 0 or into_shell <= 0:
        raise Refusal(
            what="these volumes do not belong together",
            rule="the water pumped in is more than what the pipes take up, and the shell holds water",
            got=f"pumped in {cm3_words(forced_in_m3)}, take-up {cm3_words(take_up_m3)}, water capacity {cm3_words(water_capacity_m3)}",
            do="check the readings and their units",
        )
    squeezed = (water_capacity_m3 + into_shell) * Fraction(share)
    if squeezed >= into_shell:
        raise Refusal(
            what="all the water pumped in is accounted for by the squeezing of the water",
            rule="total = A - B - (V + A - B) k must be above zero",
            got=f"A - B = {cm3_words(into_shell)}, squeezing {cm3_words(squeezed)}",
            do="check water capacity, test pressure and their units; a wrong capacity is the usual cause",
        )
    return into_shell - squeezed
