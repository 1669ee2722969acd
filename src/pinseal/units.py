"""People's units at the rim: what is printed stays as printed; SI comes from here and from nowhere else.

Conversion factors are exact by definition (NIST Special Publication 811, appendix B): the avoirdupois pound is
0.45359237 kg and the US gallon is 231 cubic inches of 0.0254 m.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from pinseal.measures import FACTORS, LB_KG
from pinseal.reasons import Refusal

KG_PER_LB = float(LB_KG)

# unit code: (SI unit, factor to it). The factors are those of `measures`, which spells litres with a large L.
_SI: dict[str, tuple[str, float]] = {
    code: (si, float(FACTORS[dimension][printed]))
    for code, printed, dimension, si in (
        ("kg", "kg", "mass", "kg"), ("g", "g", "mass", "kg"), ("lb", "lb", "mass", "kg"), ("oz", "oz", "mass", "kg"),
        ("l", "L", "volume", "m3"), ("ml", "mL", "volume", "m3"), ("gal", "gal", "volume", "m3"), ("in3", "in3", "volume", "m3"),
        ("m3", "m3", "volume", "m3"),
    )
}  # fmt: skip
_SPELLINGS = {
    "kgs": "kg", "kilo": "kg", "kilos": "kg", "lbs": "lb", "pound": "lb", "pounds": "lb", "#": "lb", "litre": "l", "litres": "l",
    "liter": "l", "liters": "l", "gallon": "gal", "gallons": "gal", "ounce": "oz", "ounces": "oz",
}  # fmt: skip
_QUANTITY = re.compile(r"(\d+(?:\.\d+)?)\s*([A-Za-z#]+[23]?)", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A printed number with its printed unit (`10 lb`, `2.5 gal`, `9 kg`).

    >>> str(parse_quantity("10 lbs")), round(parse_quantity("10 lb").si, 6)
    ('10 lb', 4.535924)
    """

    value: float
    unit: str

    def __post_init__(self) -> None:
        if self.unit not in _SI:
            raise _refused(f"{self.value} {self.unit}", f"the unit is one of {', '.join(_SI)}")
        if not 0 <= self.value < float("inf"):
            raise _refused(f"{self.value} {self.unit}", "the number must be zero or above")

    @property
    def dimension(self) -> str:
        """`kg` for a mass, `m3` for a volume."""
        return _SI[self.unit][0]

    @property
    def si(self) -> float:
        """The value in kg or m3."""
        return self.value * _SI[self.unit][1]

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"

    def for_people(self) -> str:
        """`9 L`: a small l is easily read as a one."""
        return f"{self.value:g} {'L' if self.unit == 'l' else self.unit}"

    def as_json(self) -> dict[str, float | str]:
        return {"value": self.value, "unit": self.unit}


def _refused(got: str, rule: str) -> Refusal:
    return Refusal(what="this is not a mass or volume", rule=rule, got=got, do="write a number and a unit, for example 10 lb or 2.5 gal")


def unit_code(text: str) -> str | None:
    """The code of a unit as people spell it, or None."""
    low = text.strip().lower().rstrip(".")
    low = _SPELLINGS.get(low, low)
    return low if low in _SI else None


def parse_quantity(text: str) -> Quantity:
    """Read a number with its unit. Raises `Refusal`."""
    match = _QUANTITY.fullmatch(text.strip())
    code = unit_code(match[2]) if match else None
    if not match or code is None:
        raise _refused(text, f"the unit is one of {', '.join(_SI)}")
    return Quantity(value=float(match[1]), unit=code)


def water_capacity_lb(quantity: Quantity) -> float:
    """Water capacity in lb of water, as 49 CFR 180.209(j) counts it; a volume is taken at 1 kg a litre (common practice, no source)."""
    kg = quantity.si if quantity.dimension == "kg" else quantity.si * 1000.0
    return kg / KG_PER_LB
