"""The wall of a shell under pressure: how far it should give, what stress it bears, and what energy a gas test would store.

Equations for closed cylinders in the elastic range. Lengths in m, pressures in Pa above the air, stresses in Pa.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pinseal.measures import ATM_PA, PSI_PA, AbsPa, GaugePa
from pinseal.reasons import Refusal

_PSI = float(PSI_PA)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Young's modulus [Pa] and Poisson's ratio. Handbook values, from memory."""

    name: str
    modulus_pa: float
    poisson: float


STEEL = Material(name="steel", modulus_pa=30e6 * _PSI, poisson=0.3)
ALUMINIUM = Material(name="aluminium", modulus_pa=10e6 * _PSI, poisson=0.33)
MATERIALS = {material.name: material for material in (STEEL, ALUMINIUM)}

# Heads are stiffer and walls thicker than the smallest: a sound shell gives 80 to 100 % of the closed form. Common practice, no source.
EXPECTED_SHARE, FLAG_SHARE = (0.80, 1.00), (0.70, 1.15)
_WALL_M_LEAST, _OUTSIDE_M_MOST = 1e-4, 10.0
# From a small cartridge to far above any wheeled unit.
VOLUME_M3_LEAST, VOLUME_M3_MOST = 1e-5, 100.0


def _volume_m3(volume_m3: float) -> float:
    if not VOLUME_M3_LEAST <= volume_m3 <= VOLUME_M3_MOST:
        raise Refusal(
            what="this is not the water capacity of a shell",
            rule="a shell holds water: from 10 mL to 100 000 L can be judged",
            got=f"{volume_m3 * 1000:g} L",
            do="check the figure and its unit",
        )
    return volume_m3


def _inside_m(outside_m: float, wall_m: float) -> float:
    if not (_WALL_M_LEAST <= wall_m < outside_m / 2 <= _OUTSIDE_M_MOST / 2):
        raise Refusal(
            what="this is not a shell",
            rule="the wall is from 0.1 mm to below half the outside diameter, and that is 10 m at most",
            got=f"outside diameter {outside_m * 1000:g} mm, wall {wall_m * 1000:g} mm",
            do="check the two lengths and their units",
        )
    return outside_m - 2 * wall_m


def elastic_thick_m3(
    *, water_capacity_m3: float, test_gauge_pa: GaugePa, outside_m: float, wall_m: float, material: Material = STEEL
) -> float:
    """Elastic growth of a closed thick cylinder [m3]: V P [3 (1 - 2 nu) d^2 + 2 (1 + nu) D^2] / (E (D^2 - d^2)).

    D outside, d inside diameter. Any wall above 0 and below D/2. Source: the solution of Lame for a closed cylinder.
    """
    inside = _inside_m(outside_m, wall_m)
    a, b = _stiffness(material)
    square, inner = outside_m**2, inside**2
    return _volume_m3(water_capacity_m3) * test_gauge_pa * (a * inner + b * square) / (material.modulus_pa * (square - inner))


def _stiffness(material: Material) -> tuple[float, float]:
    return 3 * (1 - 2 * material.poisson), 2 * (1 + material.poisson)


def elastic_thin_m3(
    *, water_capacity_m3: float, test_gauge_pa: GaugePa, outside_m: float, wall_m: float, material: Material = STEEL
) -> float:
    """Elastic growth of a closed thin cylinder [m3]: V P r (5 - 4 nu) / (2 t E), r the mean radius.

    Within 2 % of the thick form where D/t is above 40 (2.2 % at 35, on the low side). Source: membrane theory.
    """
    _inside_m(outside_m, wall_m)
    radius = (outside_m - wall_m) / 2
    return water_capacity_m3 * test_gauge_pa * radius * (5 - 4 * material.poisson) / (2 * wall_m * material.modulus_pa)


def implied_wall_m(
    *, elastic_m3: float, water_capacity_m3: float, test_gauge_pa: GaugePa, outside_m: float, material: Material = STEEL
) -> float:
    """The mean wall [m] at which the thick form would give this elastic reading. Raises `Refusal` where no wall would."""
    strain = elastic_m3 / water_capacity_m3
    a, b = _stiffness(material)
    above = material.modulus_pa * strain - test_gauge_pa * b
    if above <= 0:
        raise Refusal(
            what="no wall is stiff enough for this elastic reading",
            rule="even a solid bar gives more than this under the test pressure",
            got=f"elastic {elastic_m3 * 1e6:g} cm3 of {water_capacity_m3 * 1000:g} L",
            do="check the reading, the water capacity and their units",
        )
    inside = outside_m * math.sqrt(above / (material.modulus_pa * strain + test_gauge_pa * a))
    return (outside_m - inside) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Plausibility:
    """An elastic reading beside what the geometry leads one to expect. `state`: plausible, low or high."""

    expected_m3: float
    share: float
    state: str


def plausibility(*, elastic_m3: float, expected_m3: float) -> Plausibility:
    """Compare an elastic reading with the closed form [m3]: outside 70 to 115 % it is flagged.

    The closed form knows the wall to about 15 %. A flag is a question to the instrument and the wall, never a verdict.
    """
    share = elastic_m3 / expected_m3
    state = "low" if share < FLAG_SHARE[0] else "high" if share > FLAG_SHARE[1] else "plausible"
    return Plausibility(expected_m3=expected_m3, share=share, state=state)


def rejection_elastic_m3(*, water_capacity_m3: float, test_gauge_pa: GaugePa, outside_m: float, wall_m: float) -> float:
    """A steel cylinder's elastic growth at its smallest wall [m3]: K P V D^2 / (D^2 - d^2), K = 1.26e-7 per psi.

    From memory (CGA C-5); theory gives K = 3.8 / 30e6 = 1.267e-7. The figure stamped on the cylinder governs, never this one.
    """
    square = outside_m**2
    return 1.26e-7 * (test_gauge_pa / _PSI) * water_capacity_m3 * square / (square - _inside_m(outside_m, wall_m) ** 2)


# -- wall stress by specification


def wall_stress_pa(*, wall_gauge_pa: float, outside_m: float, wall_m: float, joint_efficiency: float | None = None) -> float:
    """Wall stress of a cylinder [Pa]: P (1.3 D^2 + 0.4 d^2) / (D^2 - d^2); with a joint efficiency E, 2 P (...) / (E (...)).

    Seamless and brazed series (3A, 3AA, 3AL, 4B, 4BA): P from `formula_gauge_pa`. 4BW: P is the service pressure and E the
    joint efficiency, 0 < E <= 1. Source: 49 CFR 178.36 and 178.45 (public copies); the other series from memory.
    """
    inside = _inside_m(outside_m, wall_m)
    if joint_efficiency is not None and not 0 < joint_efficiency <= 1:
        raise Refusal(
            what="this is not a joint efficiency",
            rule="it is above 0 and at most 1",
            got=f"{joint_efficiency:g}",
            do="take it from the rule",
        )
    factor = 1.0 if joint_efficiency is None else 2.0 / joint_efficiency
    return factor * wall_gauge_pa * (1.3 * outside_m**2 + 0.4 * inside**2) / (outside_m**2 - inside**2)


def formula_gauge_pa(*, test_gauge_pa: float) -> float:
    """The pressure that a 3A wall is reckoned with [Pa]: the smallest test pressure, or 450 psig if that is greater (49 CFR 178.36)."""
    return max(test_gauge_pa, 450 * _PSI)


def sphere_stress_pa(*, wall_gauge_pa: float, outside_m: float, wall_m: float, joint_efficiency: float) -> float:
    """Wall stress of a sphere [Pa]: P D / (4 t E). From memory (49 CFR part 178, spheres of the 4B series)."""
    _inside_m(outside_m, wall_m)
    return wall_gauge_pa * outside_m / (4 * wall_m * joint_efficiency)


def least_wall_m(*, wall_gauge_pa: float, outside_m: float, stress_pa_max: float) -> float:
    """The thinnest wall [m] that keeps the stress: d = D sqrt((S - 1.3 P) / (S + 0.4 P)), the 178.36 formula turned round.

    Raises `Refusal` where no wall does (S at or below 1.3 P).
    """
    if stress_pa_max <= 1.3 * wall_gauge_pa:
        raise Refusal(
            what="no wall bears this pressure at this stress",
            rule="the stress is above 1.3 times the pressure",
            got=f"stress {stress_pa_max / _PSI:.0f} psi, pressure {wall_gauge_pa / _PSI:.0f} psi",
            do="check the two figures and their units",
        )
    inside = outside_m * math.sqrt((stress_pa_max - 1.3 * wall_gauge_pa) / (stress_pa_max + 0.4 * wall_gauge_pa))
    return (outside_m - inside) / 2


# -- why a test is never made with gas

_GAMMA = 1.4
_WATER_COMPRESSIBILITY_PER_PA = 4.5891e-10  # at 20 C (J. Chem. Eng. Data 20, 97, 1975: from memory)
_TNT_J_PER_KG = 4_266_920.0
_FLOOR_M, _FLOOR_J_MAX = 30.0, 135.5e6


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredEnergy:
    """Energy a shell would let go if it burst [J], and the distance to keep from a gas test [m]."""

    brode_j: float
    isentropic_j: float
    water_j: float
    distance_m: float

    @property
    def gas_to_water(self) -> float:
        return self.isentropic_j / self.water_j


def stored_energy(*, test_abs_pa: AbsPa, volume_m3: float) -> StoredEnergy:
    """Energy of a shell full of gas and of the same shell full of water.

    Brode (p - pa) V / (g - 1), an upper bound; isentropic p V / (g - 1) [1 - (pa/p)^((g-1)/g)], g = 1.4; water p^2 V kT / 2.
    Distance: ASME PCC-2 article 501, read second-hand: 30 m up to 135.5 MJ, else the larger of 30 m and 20 (2 TNT)^(1/3).
    `test_abs_pa` above 1 atm [Pa]; `volume_m3` the whole shell [m3]. Ideal gas: real nitrogen stores a little less.
    """
    _volume_m3(volume_m3)
    if test_abs_pa <= ATM_PA:
        raise Refusal(
            what="no energy is stored here",
            rule="the pressure is above the air's",
            got=f"{test_abs_pa:.0f} Pa, {volume_m3 * 1000:g} L",
            do="check the two figures",
        )
    over = test_abs_pa - ATM_PA
    isentropic = test_abs_pa * volume_m3 / (_GAMMA - 1) * (1 - (ATM_PA / test_abs_pa) ** ((_GAMMA - 1) / _GAMMA))
    pcc2 = 2.5 * test_abs_pa * volume_m3 * (1 - (ATM_PA / test_abs_pa) ** 0.286)
    return StoredEnergy(
        brode_j=over * volume_m3 / (_GAMMA - 1),
        isentropic_j=isentropic,
        water_j=over**2 * volume_m3 * _WATER_COMPRESSIBILITY_PER_PA / 2,
        distance_m=_FLOOR_M if pcc2 <= _FLOOR_J_MAX else max(_FLOOR_M, scaled_distance_m(pcc2)),
    )


def scaled_distance_m(energy_j: float, *, scaled: float = 20.0) -> float:
    """R = R_s (2 TNT)^(1/3) [m], TNT = E / 4 266 920 J/kg, R_s in m/kg^(1/3) (ASME PCC-2 article 501, second-hand)."""
    return scaled * math.cbrt(2 * energy_j / _TNT_J_PER_KG)
