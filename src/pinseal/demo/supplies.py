"""Invented supply bottles at the bench, and one unit whose gauge was written down over the years: it leaks slowly."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from pinseal.demo import town
from pinseal.demo.book import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """One supply bottle from its coming to its going back. `looks` are its gauge and the warmth of the bottle, by day."""

    id: str
    gas: str
    water_capacity: str
    came: date
    paper: dict[str, str] = field(default_factory=dict)
    looks: tuple[tuple[date, str, str], ...] = ()
    went: date | None = None


_DRY = {"dew-point": "-78 F", "purity": "99.99"}
FILLINGS: tuple[Filling, ...] = (
    Filling(
        id="N2-1", gas="nitrogen", water_capacity="49 L", came=date(2026, 9, 7),
        paper=_DRY | {"serial": "TG 40117", "certificate": "NG-2609-3"},
        looks=((date(2026, 9, 7), "2240 psi", "71 F"), (date(2026, 10, 19), "1190 psi", "66 F"), (date(2026, 11, 20), "610 psi", "64 F")),
    ),
    Filling(
        id="N2-2", gas="nitrogen", water_capacity="49 L", came=date(2026, 11, 9),
        paper=_DRY | {"serial": "TG 40988", "certificate": "NG-2611-1"},
        looks=((date(2026, 11, 9), "2165 psi", "58 F"), (date(2026, 11, 23), "2010 psi", "62 F")),
    ),
    Filling(
        id="N2-3", gas="nitrogen", water_capacity="20 L", came=date(2026, 11, 16), paper={"serial": "TG 22310"},
        looks=((date(2026, 11, 16), "2080 psi", "55 F"),),
    ),  # it came without a certificate: it is drawn for nothing that needs dry gas until its dew point is known
    Filling(
        id="N2-0", gas="nitrogen", water_capacity="49 L", came=date(2026, 5, 4),
        paper=_DRY | {"serial": "TG 38602", "certificate": "NG-2605-2"},
        looks=((date(2026, 5, 4), "2220 psi", "68 F"),), went=date(2026, 9, 7),
    ),
)  # fmt: skip

LEAKING = "SM-006"
_CHARGED_PSI, _LOST_PSI_A_YEAR = 195.0, 4.4
_WARMTH_F = (63, 71, 58, 66, 74, 61)
_AIR_PSI, _ZERO_F, _REFERENCE_F = 14.7, 459.67, 70.0


def keep_bottles(book: Book) -> None:
    """Receive them, read them, give back the empty one."""
    for each in FILLINGS:
        about = {"id": each.id, "gas": each.gas, "water-capacity": each.water_capacity, **each.paper}
        book.tell("bottle-received", each.id, each.came, town.OFFICE, about)
        for day, shows, warm in each.looks:
            book.tell("bottle-read", each.id, day, town.technician_of(day.year, 0), {"shows": shows, "at-temperature": warm})
        if each.went:
            book.tell("bottle-returned", each.id, each.went, town.OFFICE, {"reason": "empty"})


def tell_leak(book: Book) -> None:
    """The gauge of one unit when it was charged and at each yearly visit since; once it was seen to fall, at every third look too."""
    own = [deed for deed in book.deeds if deed.key == LEAKING]
    charged = max(deed.done.latest for deed in own if deed.kind == "recharged")
    visits = [deed for deed in own if deed.kind in ("recharged", "maintained") and deed.done.latest >= charged]
    looks = sorted((deed for deed in own if deed.kind == "inspected"), key=lambda deed: deed.done.latest)[::3]
    for turn, deed in enumerate(sorted([*visits, *looks], key=lambda deed: deed.done.latest)):
        years, warm = (deed.done.latest - charged).days / 365.25, _WARMTH_F[turn % len(_WARMTH_F)]
        cold_psi = _CHARGED_PSI - _LOST_PSI_A_YEAR * years
        shows = (cold_psi + _AIR_PSI) * (warm + _ZERO_F) / (_REFERENCE_F + _ZERO_F) - _AIR_PSI
        said = {"quantity": "the unit's gauge", "value": f"{shows:.0f} psi", "at-temperature": f"{warm} F"}
        book.tell("measured", LEAKING, deed.done, deed.person, said)
