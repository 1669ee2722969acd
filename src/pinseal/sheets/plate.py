"""The nameplate in figures: what its texts say in SI, and which of them cannot be read.

Nothing is derived: a test pressure is never worked out from a charging pressure, nor a band from a weight.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from pinseal.measures import parse_measure, parse_pressure
from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate
from pinseal.rules.pressure_tests import Marking, parse_specification
from pinseal.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """Masses [kg] and pressures above the air [Pa], exact as printed; None where it is not on record. `unreadable` names odd texts."""

    charge_pa: Fraction | None = None
    net_kg: Fraction | None = None
    gross_kg: Fraction | None = None
    gross_low_kg: Fraction | None = None
    gross_high_kg: Fraction | None = None
    empty_kg: Fraction | None = None
    test_pa: Fraction | None = None
    gauge_low_pa: Fraction | None = None
    gauge_high_pa: Fraction | None = None
    cartridge_kg: Fraction | None = None
    cartridge_low_kg: Fraction | None = None
    expellant_pa: Fraction | None = None
    regulator_pa: Fraction | None = None
    water_kg: Fraction | None = None
    gas: str | None = None
    marking: Marking | None = None
    unreadable: tuple[str, ...] = ()

    @property
    def water_m3(self) -> float | None:
        """What the shell holds [m3], a litre for each kilogram of water (common practice, no source)."""
        return None if self.water_kg is None else float(self.water_kg) / 1000.0


# Field of the nameplate record: field here, and how it is read.
_FIGURES: tuple[tuple[str, str, str], ...] = (
    ("service_pressure", "charge_pa", "pressure"),
    ("gross_weight", "gross_kg", "mass"),
    ("gross_weight_low", "gross_low_kg", "mass"),
    ("gross_weight_high", "gross_high_kg", "mass"),
    ("empty_weight", "empty_kg", "mass"),
    ("test_pressure", "test_pa", "pressure"),
    ("gauge_low", "gauge_low_pa", "pressure"),
    ("gauge_high", "gauge_high_pa", "pressure"),
    ("cartridge_weight", "cartridge_kg", "mass"),
    ("cartridge_weight_low", "cartridge_low_kg", "mass"),
    ("expellant_pressure", "expellant_pa", "pressure"),
    ("regulator_pressure", "regulator_pa", "pressure"),
)


def _gauge_pa(text: str) -> Fraction:
    level = parse_pressure(text)
    if level.kind == "abs":
        return Fraction(float(level.gauge_pa()))
    return level.exact


_READ: dict[str, Callable[[str], Fraction]] = {
    "pressure": _gauge_pa,
    "mass": lambda text: parse_measure("mass", text).exact,
}


def net_mass_kg(size: Quantity | None) -> Fraction | None:
    """The nameplate charge where it is a mass [kg]."""
    if size is None or size.dimension != "kg":
        return None
    return parse_measure("mass", str(size)).exact


def water_capacity_kg(quantity: Quantity | None) -> Fraction | None:
    """The water that the shell holds [kg], exact as printed; a litre weighs a kilogram here (common practice, no source)."""
    if quantity is None:
        return None
    printed = f"{quantity.value:g} {quantity.for_people().split()[-1]}"
    if quantity.dimension == "kg":
        return parse_measure("mass", printed).exact
    return parse_measure("volume", printed).exact * 1000


def _marking(text: str | None) -> Marking | None:
    if not text or text.strip().casefold() == "none":
        return None
    return parse_specification(text)


@lru_cache(maxsize=2_000)  # a fleet of thousands has a few hundred nameplates
def read_plate(nameplate: Nameplate) -> Plate:
    """The figures of a nameplate. A text that cannot be read is no figure, and is named."""
    said: dict[str, Fraction] = {}
    odd: list[str] = []
    for field, name, dimension in _FIGURES:
        text = getattr(nameplate, field)
        if not text:
            continue
        try:
            said[name] = _READ[dimension](text)
        except Refusal:
            odd.append(f"{field.replace('_', ' ')} “{text}”")
    marking = None
    try:
        marking = _marking(nameplate.cylinder_specification)
    except Refusal:
        odd.append(f"cylinder specification “{nameplate.cylinder_specification}”")
    return Plate(
        net_kg=net_mass_kg(nameplate.size),
        water_kg=water_capacity_kg(nameplate.water_capacity),
        gas=nameplate.charging_gas,
        marking=marking,
        unreadable=tuple(odd),
        **said,
    )
