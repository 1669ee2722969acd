"""What people type at the bench, read exactly: pressures with their reference, temperatures, masses, volumes, lengths, densities.

Numbers are read as fractions, so that a loss that equals its limit is seen to equal it. SI inside; people's units at the
rim. The factors are exact by definition: the inch is 0.0254 m, the pound 0.45359237 kg and the standard acceleration
of gravity 9.80665 m/s2 (NIST Special Publication 811, appendix B), so that 1 psi = 0.45359237 x 9.80665 / 0.0254^2 Pa.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NewType

from pinseal.reasons import Refusal

GaugePa = NewType("GaugePa", float)
AbsPa = NewType("AbsPa", float)

ATM_PA = 101_325.0
LB_KG = Fraction("0.45359237")
INCH_M = Fraction("0.0254")
PSI_PA = LB_KG * Fraction("9.80665") / INCH_M**2
GALLON_M3 = 231 * INCH_M**3
T_70F_K = 294.2611111111111
ZERO_C_K = Fraction("273.15")
# A shell's temperature outside this range is a slip of the pen, not weather: -80 to 150 C.
TEMPERATURE_K_MIN, TEMPERATURE_K_MAX = 193.15, 423.15

# dimension: unit as printed -> factor to SI. Temperatures have their own rule.
FACTORS: Mapping[str, Mapping[str, Fraction]] = {
    "pressure": {"Pa": Fraction(1), "kPa": Fraction(1000), "MPa": Fraction(10**6), "bar": Fraction(10**5), "psi": PSI_PA},
    "mass": {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": LB_KG, "oz": LB_KG / 16},
    "volume": {
        "m3": Fraction(1), "L": Fraction(1, 1000), "mL": Fraction(1, 10**6), "cm3": Fraction(1, 10**6), "gal": GALLON_M3, "in3": INCH_M**3,
        "ft3": (12 * INCH_M) ** 3,
    },
    "length": {"m": Fraction(1), "mm": Fraction(1, 1000), "cm": Fraction(1, 100), "km": Fraction(1000), "in": INCH_M, "ft": 12 * INCH_M},
    "density": {"kg/m3": Fraction(1), "kg/L": Fraction(1000), "g/cm3": Fraction(1000), "lb/ft3": LB_KG / (12 * INCH_M) ** 3},
}  # fmt: skip

_SPELLINGS = {
    "psi": "psi", "psig": "psi", "psia": "psi", "lbf/in2": "psi", "bar": "bar", "barg": "bar", "bara": "bar", "kpa": "kPa", "kpag": "kPa",
    "kpaa": "kPa", "mpa": "MPa", "pa": "Pa", "kg": "kg", "kgs": "kg", "g": "g", "gram": "g", "grams": "g", "lb": "lb", "lbs": "lb",
    "#": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz", "ounces": "oz", "l": "L", "litre": "L", "litres": "L",
    "liter": "L", "liters": "L", "ml": "mL", "cc": "cm3", "cm3": "cm3", "m3": "m3", "gal": "gal", "gallon": "gal", "gallons": "gal",
    "in3": "in3", "cuin": "in3", "ft3": "ft3", "cuft": "ft3", "m": "m", "mm": "mm", "cm": "cm", "km": "km", "in": "in", "inch": "in",
    "inches": "in", '"': "in", "ft": "ft", "feet": "ft", "foot": "ft", "'": "ft", "kg/m3": "kg/m3", "kg/l": "kg/L", "g/cm3": "g/cm3",
    "lb/ft3": "lb/ft3",
}  # fmt: skip
_EXAMPLES = {
    "pressure": "195 psi (gauge), 210 psia, 13.4 bar, 14.4 bar abs",
    "mass": "10 lb, 29 lb 6 oz, 9 kg",
    "volume": "6.4 L, 2.5 gal",
    "length": "1609 m, 5280 ft",
    "density": "0.68 kg/L, 70 lb/ft3",
    "temperature": "70 F, -5 C, 268 K",
}
TEXT_MAX = 60  # longer than any quantity that a person types; a number without end is a slip or an attack
_NUMBER = r"([+-]?\d+(?:\.\d+)?|[+-]?\.\d+)"
_ONE = re.compile(rf"{_NUMBER}\s*([^\d\s+.-][^\s]*)", re.ASCII)
_THOUSANDS = re.compile(r"\d,\d{3}(?!\d)", re.ASCII)
_TEMPERATURE = re.compile(rf"{_NUMBER}\s*°?\s*(?:deg\s*)?([FCK])", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Measure:
    """One quantity as typed: its exact SI value, what it measures, and for a pressure what it is counted from."""

    exact: Fraction
    dimension: str
    text: str
    kind: str | None = None

    @property
    def si(self) -> float:
        return float(self.exact)

    def gauge_pa(self, atmosphere_pa: float = ATM_PA) -> GaugePa:
        """A pressure above the surrounding air [Pa]."""
        assert self.dimension == "pressure", "only a pressure has a gauge value"
        return GaugePa(self.si - atmosphere_pa if self.kind == "abs" else self.si)

    def abs_pa(self, atmosphere_pa: float = ATM_PA) -> AbsPa:
        """A pressure above vacuum [Pa]."""
        assert self.dimension == "pressure", "only a pressure has an absolute value"
        return AbsPa(self.si if self.kind == "abs" else self.si + atmosphere_pa)


def kelvin_of_f(fahrenheit: float) -> float:
    """A temperature in degrees Fahrenheit, in kelvin (NIST Special Publication 811, appendix B).

    >>> kelvin_of_f(32)
    273.15
    """
    return (fahrenheit - 32) * 5 / 9 + 273.15


def _refused(dimension: str, text: str, rule: str) -> Refusal:
    return Refusal(
        what=f"this is not a {dimension} that can be used", rule=rule, got=text or "nothing", do=f"write it as in {_EXAMPLES[dimension]}"
    )


def _unit(dimension: str, word: str) -> str | None:
    code = _SPELLINGS.get(word.casefold().rstrip("."), word)
    return code if code in FACTORS[dimension] else None


def _parts(dimension: str, text: str) -> list[tuple[Fraction, str]]:
    """The numbers and units of a text such as `29 lb 6 oz`. Raises `Refusal`."""
    if len(text) > TEXT_MAX:
        raise _refused(dimension, text[:TEXT_MAX] + "…", f"at most {TEXT_MAX} characters")
    if _THOUSANDS.search(text):
        raise _refused(dimension, text, "a comma before three figures can mean thousands or a decimal")
    plain, at, found = text.replace("²", "2").replace("³", "3").replace(",", ".").strip(), 0, []
    while at < len(plain):
        match = _ONE.match(plain, at)
        unit = _unit(dimension, match[2]) if match else None
        if match is None or unit is None:
            raise _refused(dimension, text, f"a number and one of the units {', '.join(FACTORS[dimension])}")
        found.append((Fraction(match[1]), unit))
        at = match.end()
        while at < len(plain) and plain[at].isspace():
            at += 1
    if not found:
        raise _refused(dimension, text, f"a number and one of the units {', '.join(FACTORS[dimension])}")
    return found


def parse_measure(dimension: str, text: str, *, negative: bool = False) -> Measure:
    """Read a mass, volume, length or density. Raises `Refusal` for nonsense, and below zero unless `negative`.

    >>> float(parse_measure("mass", "29 lb 6 oz").exact / LB_KG)
    29.375
    """
    parts = _parts(dimension, text)
    units = [unit for _, unit in parts]
    if len(parts) > 1 and units not in (["lb", "oz"], ["ft", "in"]):
        raise _refused(dimension, text, "only pounds with ounces and feet with inches stand together")
    total = sum((number * FACTORS[dimension][unit] for number, unit in parts), Fraction(0))
    if total < 0 and not negative:
        raise _refused(dimension, text, f"a {dimension} is not below zero")
    return Measure(total, dimension, text.strip())


_REFERENCE = re.compile(r"\s*\(?\b(abs|absolute|gauge|g|a)\)?\s*$|\((abs|absolute|gauge|g|a)\)\s*$", re.IGNORECASE)


def parse_pressure(text: str, *, difference: bool = False) -> Measure:
    """Read a pressure: gauge unless it says absolute (`psia`, `bar abs`). A `difference` has no reference. Raises `Refusal`.

    >>> parse_pressure("210 psia").kind, parse_pressure("13.4 bar").kind, parse_pressure("14.4 bar abs").kind
    ('abs', 'gauge', 'abs')
    """
    plain = text.strip()
    suffix = _REFERENCE.search(plain)
    word = next((g for g in suffix.groups() if g), "").casefold() if suffix else ""
    plain = plain[: suffix.start()] if suffix else plain
    unit = plain.casefold().rstrip(".")
    absolute = word in ("abs", "absolute", "a") or unit.endswith(("psia", "bara", "kpaa"))
    value = parse_measure("pressure", plain, negative=True)
    kind = None if difference else "abs" if absolute else "gauge"
    if value.exact < 0 and kind != "gauge":
        raise _refused("pressure", text, "an absolute pressure and a pressure difference are not below zero")
    if kind == "gauge" and value.si <= -ATM_PA:
        raise _refused("pressure", text, "nothing is emptier than vacuum, 14.7 psi below the air")
    return Measure(value.exact, "pressure", text.strip(), kind)


def parse_temperature(text: str) -> Measure:
    """Read a temperature in F, C or K, from -80 to 150 C. Raises `Refusal`.

    >>> round(parse_temperature("70 F").si, 3), round(parse_temperature("-5 C").si, 2)
    (294.261, 268.15)
    """
    match = _TEMPERATURE.fullmatch(text.replace(",", ".").strip()) if len(text) <= TEXT_MAX else None
    if not match:
        raise _refused("temperature", text[:TEXT_MAX], "a number and F, C or K")
    number, unit = Fraction(match[1]), match[2].upper()
    kelvin = (number - 32) * Fraction(5, 9) + ZERO_C_K if unit == "F" else number + (ZERO_C_K if unit == "C" else 0)
    if not TEMPERATURE_K_MIN <= kelvin <= TEMPERATURE_K_MAX:
        raise _refused("temperature", text, "a unit stands between -80 and 150 C (-112 and 302 F)")
    return Measure(kelvin, "temperature", text.strip())


# -- for people and for programs

SYSTEMS: Mapping[str, Mapping[str, str]] = {
    "si": {"pressure": "Pa", "mass": "kg", "volume": "m3", "length": "m", "density": "kg/m3", "temperature": "K"},
    "us": {"pressure": "psi", "mass": "lb", "volume": "gal", "length": "ft", "density": "lb/ft3", "temperature": "F"},
    "metric": {"pressure": "bar", "mass": "kg", "volume": "L", "length": "m", "density": "kg/L", "temperature": "C"},
}


def in_unit(si: float, dimension: str, unit: str) -> float:
    """An SI value in another unit of its dimension."""
    if dimension != "temperature":
        return si / float(FACTORS[dimension][unit])
    celsius = si - float(ZERO_C_K)
    return {"K": si, "C": celsius, "F": celsius * 9 / 5 + 32}[unit]


def as_json(
    si: float | None, dimension: str, *, system: str = "si", kind: str | None = None, per: str = ""
) -> dict[str, float | str] | None:
    """A quantity for programs: `{"value", "unit"}`, and `kind` (gauge, abs) on a pressure that is a level. None stays None.

    `per` names what a slope is counted by, as in `yr`.
    """
    if si is None:
        return None
    unit = SYSTEMS[system][dimension]
    shape: dict[str, float | str] = {"value": in_unit(si, dimension, unit), "unit": f"{unit}/{per}" if per else unit}
    return shape | ({"kind": kind} if kind else {})


def for_people(si: float, dimension: str, *, system: str = "us", digits: int = 1) -> str:
    """A quantity in words: `195.0 psi`, `21.1 C`."""
    unit = SYSTEMS["us" if system == "si" else system][dimension]
    return f"{in_unit(si, dimension, unit):.{digits}f} {unit}"
