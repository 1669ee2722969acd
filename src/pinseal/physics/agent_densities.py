"""True densities of what is put into a shell: the volume that the grains or the liquid take, not that of a heap of powder.

Powders of the trade are blends with a few percent of other salts, silica and silicone, so each density of a pure salt is
taken to 5 % (common practice, no source). The heat capacity only names the scale of the stirred fraction (`fill_heat`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

_HANDBOOK = "CRC Handbook of Chemistry and Physics, physical constants of inorganic compounds (as tabled in the library chemicals)"
_POWDER = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueDensity:
    """`kg_m3` with its relative uncertainty (k = 2), the heat capacity [J/(kg K)], the salt and the source of the density."""

    kg_m3: float
    relative: float
    heat_capacity_j_kg_k: float
    substance: str
    source: str
    checked: str


def _salt(substance: str, kg_m3: float, heat_capacity_j_kg_k: float) -> TrueDensity:
    return TrueDensity(
        kg_m3=kg_m3,
        relative=_POWDER,
        heat_capacity_j_kg_k=heat_capacity_j_kg_k,
        substance=substance,
        source=_HANDBOOK,
        checked="public copy",
    )


_UREA_COMPLEX = TrueDensity(
    kg_m3=1900.0,
    relative=0.10,
    heat_capacity_j_kg_k=1200.0,
    substance="urea-potassium bicarbonate complex",
    source="from memory: 1.8 to 2.0 g/cm3, no handbook value found",
    checked="memory",
)
_WATER = TrueDensity(
    kg_m3=998.0,
    relative=0.01,
    heat_capacity_j_kg_k=4180.0,
    substance="water",
    source="IAPWS-95 at 20 C; 988 to 1000 kg/m3 from 5 to 50 C; a premix below 6 % counts as water (common practice, no source)",
    checked="practice",
)

# Heat capacities at 25 C: CRC standard thermodynamic properties for sodium bicarbonate, potassium and sodium chloride,
# copper and graphite; from memory for the phosphate and for potassium bicarbonate.
AGENT_DENSITIES: Mapping[str, TrueDensity] = {
    "abc": _salt("monoammonium phosphate", 1800.0, 1200.0),
    "sodium-bicarbonate": _salt("sodium bicarbonate", 2200.0, 1043.0),
    "potassium-bicarbonate": _salt("potassium bicarbonate", 2170.0, 1000.0),
    "urea-potassium-bicarbonate": _UREA_COMPLEX,
    "potassium-chloride": _salt("potassium chloride", 1988.0, 688.0),
    "class-d-sodium-chloride": _salt("sodium chloride", 2170.0, 864.0),
    "class-d-copper": _salt("copper", 8960.0, 384.0),
    "class-d-graphite": _salt("graphite", 2200.0, 708.0),
    "water": _WATER,
    "wetting-agent": _WATER,
    "water-mist": _WATER,
    "afff": _WATER,
    "fffp": _WATER,
    "fluorine-free-foam": _WATER,
}


def stated_density(kg_m3: float, agent: str) -> TrueDensity:
    """A density that the user gives from the maker's data sheet, taken to 5 %."""
    known = AGENT_DENSITIES.get(agent)
    return TrueDensity(
        kg_m3=kg_m3,
        relative=_POWDER,
        heat_capacity_j_kg_k=known.heat_capacity_j_kg_k if known else 1000.0,
        substance="the agent",
        source="as typed",
        checked="practice",
    )
