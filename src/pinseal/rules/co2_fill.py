"""Does a cylinder hold no more carbon dioxide than its stamp allows: percent of the mass of the water that fills it.

Limits: `standards/co2_fill.toml` (49 CFR 173.304a, public copy). A water capacity in pounds or kilograms is used as stamped. A volume
is counted in the two ways in use, 1 kg a litre (common practice) and 27.737 in3 a pound (49 CFR usage, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinseal.measures import INCH_M, LB_KG, PSI_PA
from pinseal.physics.weighing import least_water_kg
from pinseal.reasons import Refusal
from pinseal.rules.pressure_tests import Marking
from pinseal.standards.co2_fill import FillLimit, fill_limits

_WATER_KG_M3 = (LB_KG / (Fraction("27.737") * INCH_M**3), Fraction(1000))
_KG_MOST = 10_000
NAMEPLATE_FIRST = "the charge on the nameplate comes first, also where this would allow more"


@dataclass(frozen=True, slots=True, kw_only=True)
class FillVerdict:
    """pass, fail, too-close or unknown. `percent` is the fill [% of the water's mass], `least_water_kg` what the charge needs [kg]."""

    verdict: str
    percent: Fraction | None
    limit: FillLimit | None
    least_water_kg: Fraction | None
    because: tuple[str, ...]


def fill_limit(marking: Marking, on: date) -> FillLimit | None:
    """The row of the table that a stamp may use: its specification, at its service pressure or below; None where there is none."""
    if marking.service_pa is None:
        return None
    rows = [
        row
        for row in fill_limits()
        if marking.code in row.specifications and row.service_psi * PSI_PA <= marking.service_pa and row.source.holds_on(on)
    ]
    return max(rows, key=lambda row: row.service_psi, default=None)


def _waters_kg(water_kg: Fraction | None, capacity_m3: Fraction | None) -> tuple[Fraction, ...]:
    if (water_kg is None) == (capacity_m3 is None):
        raise Refusal(
            what="the water capacity is not clear",
            rule="either the mass of the water or the volume",
            got="both or neither",
            do="say one of them",
        )
    return (water_kg,) if water_kg is not None else tuple(capacity_m3 * density for density in _WATER_KG_M3 if capacity_m3 is not None)


def _check(mass_kg: Fraction, waters_kg: tuple[Fraction, ...]) -> None:
    for name, kg in (("charge", mass_kg), ("water capacity", waters_kg[0])):
        if not 0 < kg <= _KG_MOST:
            raise Refusal(
                what=f"the {name} cannot be right",
                rule=f"above zero and at most {_KG_MOST} kg",
                got=f"{float(min(kg, Fraction(10**9))):g} kg",
                do="read it again, and check the unit",
            )


def _mass(kg: Fraction) -> str:
    return f"{float(kg / LB_KG):.2f} lb ({float(kg):.3f} kg)"


def judge_co2_fill(
    *, mass_kg: Fraction, marking: Marking, on: date, water_capacity_kg: Fraction | None = None, water_capacity_m3: Fraction | None = None
) -> FillVerdict:
    """Judge a fill [kg] by the water capacity, as the mass of water [kg] or as a volume [m3]. Exactly the limit passes.

    unknown where the table has no row for the stamp. Raises `Refusal` for figures that cannot be.
    """
    waters = _waters_kg(water_capacity_kg, water_capacity_m3)
    _check(mass_kg, waters)
    limit = fill_limit(marking, on)
    if limit is None:
        why = "shows no service pressure" if marking.service_pa is None else "has no row in the table held for carbon dioxide"
        words = f"the stamp {marking.text} {why}; fill to the nameplate and ask the maker"
        return FillVerdict(verdict="unknown", percent=None, limit=None, least_water_kg=None, because=(words,))
    least = least_water_kg(charge_kg=mass_kg, filling_percent=limit.percent)
    state = "pass" if least <= min(waters) else "fail" if least > max(waters) else "too-close"
    allowed = f"{marking.text} may hold {float(limit.percent):g} % ({limit.source.for_people()})"
    figures = f"{_mass(mass_kg)} of carbon dioxide needs a water capacity of {_mass(least)} or more; {allowed}"
    said = {
        "pass": f"this cylinder holds {_mass(min(waters))} of water: enough",
        "fail": f"this cylinder holds {_mass(max(waters))} of water: overfilled; keep it cool, and let the surplus out as the maker says",
        "too-close": "the two ways of counting water from a volume differ here: read its mass from the stamp",
    }
    return FillVerdict(
        verdict=state, percent=100 * mass_kg / min(waters), limit=limit, least_water_kg=least,
        because=(figures, said[state], NAMEPLATE_FIRST),
    )  # fmt: skip
