"""The figures on the invented nameplates: weights, capacities, the band of the gauge, cartridge, cylinder and regulator.

All of them are invented, but hang together: the full weight is the empty weight and the charge, the charge fits into the shell,
and carbon dioxide takes at most 68 % of the water that the shell holds (49 CFR 173.304a, public copy).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_NO_CARTRIDGE = (0.0, 0.0)
# The green band of a gauge by the charging pressure at 70 F, in psi: invented, as every figure here.
_BANDS: Mapping[int, tuple[int, int]] = MappingProxyType(
    {100: (85, 115), 125: (105, 140), 195: (175, 215), 240: (215, 265), 360: (320, 410)}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What the plate of one model says in figures: weights in ounces, pressures in psi above the air, the water capacity as printed.

    `under_oz` and `over_oz` are how far the full weight may lie below and above its figure. `band_psi` are the ends of the green
    band, `cartridge_oz` the full and the least weight of the cartridge. None, or zero, where the model has no such part.
    """

    empty_oz: int
    charge_oz: int
    under_oz: int
    over_oz: int
    water: str
    gas: str | None = None
    band_psi: tuple[int, int] | None = None
    cartridge_oz: tuple[float, float] = _NO_CARTRIDGE
    expellant_psi: int = 0
    regulator_psi: int = 0

    @property
    def gross_oz(self) -> int:
        return self.empty_oz + self.charge_oz

    def said(self) -> dict[str, str]:
        """The fields of a registered record."""
        low, high = (f"{psi} psi" for psi in self.band_psi) if self.band_psi else ("", "")
        full, least = (f"{oz:g} oz" if oz else "" for oz in self.cartridge_oz)
        said = {
            "water-capacity": self.water,
            "gross-weight": pounds(self.gross_oz),
            "gross-weight-low": pounds(self.gross_oz - self.under_oz),
            "gross-weight-high": pounds(self.gross_oz + self.over_oz),
            "empty-weight": pounds(self.empty_oz),
            "gauge-low": low,
            "gauge-high": high,
            "charging-gas": self.gas or "",
            "cartridge-weight": full,
            "cartridge-weight-low": least,
            "expellant-pressure": f"{self.expellant_psi} psi" if self.expellant_psi else "",
            "regulator-pressure": f"{self.regulator_psi} psi" if self.regulator_psi else "",
        }
        return {name: text for name, text in said.items() if text}


def pounds(ounces: int) -> str:
    """A weight as plates print it.

    >>> pounds(470), pounds(160)
    ('29 lb 6 oz', '10 lb')
    """
    whole, rest = divmod(ounces, 16)
    return f"{whole} lb {rest} oz" if rest else f"{whole} lb"


def _stored(empty: int, charge: int, spread: int, water: str, *, psi: int = 195, gas: str = "nitrogen") -> Figures:
    """Of a unit that holds its gas over the agent."""
    return Figures(
        empty_oz=empty, charge_oz=charge, under_oz=spread, over_oz=spread, water=water, gas=gas, band_psi=_BANDS[psi],
    )  # fmt: skip


def _cartridge(empty: int, charge: int, spread: int, water: str, *, full: float) -> Figures:
    """Of a unit with a cartridge; half an ounce may be missing from it."""
    return Figures(
        empty_oz=empty, charge_oz=charge, under_oz=spread, over_oz=spread, water=water, cartridge_oz=(full, full - 0.5),
    )  # fmt: skip


def _carbon_dioxide(empty: int, pounds_in: int, over: int, water: str) -> Figures:
    """The lower weight is the full one less a tenth of the charge."""
    charge = pounds_in * 16
    return Figures(empty_oz=empty, charge_oz=charge, under_oz=charge // 10, over_oz=over, water=water)


FIGURES: Mapping[str, Figures] = MappingProxyType({
    "abc-5": _stored(60, 80, 4, "7.5 lb"),
    "abc-10": _stored(112, 160, 6, "15.5 lb"),
    "abc-20": _stored(216, 320, 8, "31 lb"),
    "abc-10-ss": _stored(122, 160, 6, "15.5 lb"),
    "bc-10": _stored(108, 160, 6, "14.5 lb"),
    "pk-20": _stored(216, 320, 8, "29 lb"),
    "kcl-20": _stored(220, 320, 8, "29.5 lb"),
    "upk-20": _stored(220, 320, 8, "33 lb"),
    "dc-20": _stored(216, 320, 8, "30.5 lb"),
    "pk-10-1981": _stored(120, 160, 6, "15 lb"),
    "abc-20-cart": _cartridge(272, 320, 8, "26 lb", full=22.5),
    "pk-30-cart": _cartridge(340, 432, 10, "33 lb", full=26.25),
    "d-salt-30": _cartridge(352, 480, 12, "33 lb", full=26.25),
    "d-copper-30": _stored(250, 480, 12, "20 lb", gas="argon"),
    "d-graphite-30": _stored(400, 480, 12, "46 lb"),
    "d-30": _stored(380, 480, 12, "44 lb"),
    "pk-125w": _stored(2640, 2000, 32, "180 lb", psi=240),
    "pk-150w": _stored(2960, 2400, 32, "215 lb", psi=240),
    "pk-350w": Figures(
        empty_oz=7360, charge_oz=5600, under_oz=64, over_oz=64, water="500 lb", gas="nitrogen", expellant_psi=2015, regulator_psi=240,
    ),
    "co2-5": _carbon_dioxide(152, 5, 1, "7.5 lb"),
    "co2-10": _carbon_dioxide(310, 10, 3, "15 lb"),
    "co2-15": _carbon_dioxide(434, 15, 4, "22.5 lb"),
    "co2-50w": _carbon_dioxide(2160, 50, 16, "75 lb"),
    "halon-13": _stored(120, 208, 4, "11 lb", psi=125),
    "halon-9": _stored(84, 144, 3, "7.5 lb", psi=125),
    "halon-150w": _stored(2400, 2400, 24, "125 lb", psi=125),
    "halon-1301": _stored(44, 40, 3, "2.8 lb", psi=360),
    "hcfc-11": _stored(112, 176, 4, "10 lb", psi=125, gas="argon"),
    "hfc236-10": _stored(108, 160, 4, "9 lb", psi=125),
    "hfc227-5": _stored(68, 80, 3, "5 lb", psi=125),
    "clean-5": _stored(68, 80, 3, "5 lb", psi=125),
    "fk-9": _stored(96, 144, 3, "7.5 lb", psi=125),
    "water": _stored(134, 334, 8, "3.2 gal", psi=100, gas="air"),
    "antifreeze": _stored(134, 368, 8, "3.2 gal", psi=100, gas="air"),
    "loaded-stream": _stored(138, 436, 8, "3.2 gal", psi=100, gas="air"),
    "wetting": _stored(110, 200, 6, "2 gal", psi=100, gas="air"),
    "afff": _stored(136, 336, 8, "3.2 gal", psi=100),
    "fffp": _stored(136, 336, 8, "3.2 gal", psi=100),
    "fluorine-free": _stored(136, 336, 8, "3.2 gal", psi=100),
    "afff-33w": _stored(3360, 4432, 48, "43 gal", psi=100),
    "wet-chem": _stored(150, 264, 6, "7.8 l", psi=100),
    "mist": _stored(146, 334, 8, "3.3 gal", psi=100),
    "mist-small": _stored(112, 234, 6, "2.3 gal", psi=100),
    "pump": Figures(empty_oz=150, charge_oz=668, under_oz=16, over_oz=16, water="5.3 gal"),
    "bc-disposable": _stored(26, 40, 3, "3.8 lb", psi=100),
    "abc-disposable": _stored(26, 40, 3, "3.9 lb", psi=100),
})  # fmt: skip
