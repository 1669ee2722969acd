"""The old shop's list as it was handed over: one CSV as people keep them, written from what the demo knows of each unit."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.fleet import COUNTED, Bottle
from pinseal.demo.models import MODELS

REGISTER_NAME = "harbor-round-2014.csv"
ENCODING = "cp1252"
# The answers of somebody who knew the old shop, to what the reader of lists asks about this one.
ANSWERS: dict[str, str] = {"foam": "afff", "halon": "halon-1211"}

_HEADING = ("Tag", "Where", "Kind", "Rating", "Serial no.", "Made", "Annual", "6 yr", "Hydro", "Remarks")
_TOP = (
    "HARBOR ROUND - fire extinguisher book",
    "copied from the card box when the old shop shut, as of 11/14/2014",
    "invented for a demo: there is no such town, shop or extinguisher",
)
_LEGEND = (
    "# = pounds; g = gallons",
    "BC = plain sodium bicarbonate; PK = potassium bicarbonate",
    "the letter and figures between month and year on CO2 shells are the tester's mark",
)
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_GONE = (
    ("AF", "Old hangar", "abc-20", "REMOVED 3/12 hangar pulled down"),
    ("FT", "Gate 4", "abc-10", "stolen 7/2013, not replaced"),
    ("SM", "Old kiln", "water", "scrapped 2012"),
    ("BR", "Cooperage", "abc-5", "removed 5/13"),
    ("BD", "Bus 9", "bc-disposable", "thrown out with the bus, scrapped 2014"),
)
_REMARKS = ("bracket loose", "new hose 2011", "two people", "sign missing", "keep clear!", "ask at the desk", "stiff pin")


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedRow:
    """One row of the list that is one unit: its row number, how deeds name it, and what a careful reader finds in it."""

    row: int
    key: str | None
    meant: Mapping[str, str]


class _Sheet:
    """The list while it is being typed."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.rows: list[Sequence[str]] = []
        self.listed: list[ListedRow] = []
        self.total = 0

    def line(self, *cells: str) -> None:
        self.rows.append([*cells, *[""] * (len(_HEADING) - len(cells))])

    def unit(self, bottle: Bottle, *, remark: str = "", key: str | None = None) -> None:
        """Type one unit and note what was meant."""
        made, made_meant = _made(self.rng, bottle)
        recharge = bottle.last.get("recharge")
        self.line(*_cells(self.rng, bottle, made), f"recharged {recharge.month}/{recharge.year}" if recharge else remark)
        self.listed.append(ListedRow(row=len(self.rows), key=key, meant=_meant(bottle, made_meant)))
        self.total += 1


def _cells(rng: Random, bottle: Bottle, made: str) -> tuple[str, ...]:
    inside, test = bottle.last.get("internal-examination"), bottle.last.get("hydrostatic-test")
    return (
        bottle.id or "",
        bottle.place,
        rng.choice(bottle.model.written),
        _rating(rng, bottle.model.rating),
        bottle.serial or "",
        made,
        _annual(rng, bottle.last.get("maintenance")),
        _short(rng, inside),
        _stamp(rng, test) if bottle.model.agent == "co2" else _short(rng, test),
    )


def _meant(bottle: Bottle, made: PartialDate | None) -> dict[str, str]:
    said = {
        "id": bottle.id,
        "serial": bottle.serial,
        "site": town.BY_LETTERS[bottle.site].name,
        "place": bottle.place,
        "agent": bottle.model.agent,
        "size": bottle.model.size,
        "manufactured": str(made) if made else None,
    }
    dates = {
        f"last_{fact.replace('-', '_')}": str(bottle.last[fact])
        for fact in ("maintenance", "internal-examination", "hydrostatic-test", "recharge")
        if fact in bottle.last
    }
    return {name: text for name, text in said.items() if text} | dates


def write_list(rng: Random, fleet: Sequence[Bottle]) -> tuple[bytes, tuple[ListedRow, ...]]:
    """The list of the takeover, and what each of its units was meant to say."""
    sheet = _Sheet(rng)
    for text in _TOP:
        sheet.line(text)
    sheet.line()
    sheet.line(*_HEADING)
    for number, site in enumerate(site for site in town.SITES if site.joined == town.FIRST_YEAR):
        _section(sheet, site, [bottle for bottle in fleet if bottle.site == site.letters], number)
    _counted(sheet)
    sheet.line("GRAND TOTAL", "", "", str(sheet.total))
    sheet.line()
    for text in _LEGEND:
        sheet.line(text)
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(sheet.rows)
    return out.getvalue().encode(ENCODING), tuple(sheet.listed)


def _section(sheet: _Sheet, site: town.Site, bottles: list[Bottle], number: int) -> None:
    before = sheet.total
    sheet.line(f"*** {site.name} ***")
    if number == 6:  # a new page of the old book
        sheet.line(*_HEADING)
    for turn, bottle in enumerate(bottles):
        if turn == 40 and number == 4:
            sheet.line(f"{site.name} (continued)")
        sheet.unit(bottle, remark=sheet.rng.choice(_REMARKS) if sheet.rng.random() < 0.08 else "", key=bottle.key)
    for letters, place, key, remark in _GONE:
        if letters == site.letters:
            sheet.unit(_gone(sheet.rng, site, place, key), remark=remark)
    wrong = 1 if site.letters == "BR" else 0
    sheet.line(f"Total {site.name}", "", "", str(sheet.total - before + wrong))
    sheet.line()


def _gone(rng: Random, site: town.Site, place: str, key: str) -> Bottle:
    number = f"{site.letters}-0{rng.randint(90, 99)}X"
    made = PartialDate(rng.randint(2001, 2005), rng.randint(1, 9))
    return Bottle(key=number, id=number, serial=None, site=site.letters, place=place, model=MODELS[key], made=made)


def _counted(sheet: _Sheet) -> None:
    sheet.line(f"*** {town.MOORINGS} ***")
    for count, key in COUNTED:
        sheet.line("", "members' boats, not seen", f"{count} x {MODELS[key].written[0]}")
        sheet.total += count
    sheet.line()


def _rating(rng: Random, rating: str | None) -> str:
    if rating is None:
        return ""
    return rating if rng.random() < 0.6 else rating.replace("-", "").replace(":", "")


def _made(rng: Random, bottle: Bottle) -> tuple[str, PartialDate | None]:
    """The date of manufacture as typed, and what is left of it where the plate could not be read."""
    if bottle.read:
        return _short(rng, bottle.made), bottle.made
    year = PartialDate(bottle.made.year)
    return rng.choice(((f"??/{year.year % 100:02d}", year), ("see tag", None), ("?", None), ("", None)))


def _short(rng: Random, when: PartialDate | None) -> str:
    """A month or a year as people type them in such a column."""
    if when is None:
        return ""
    two = f"{when.year % 100:02d}"
    if when.month is None:
        return rng.choice((str(when.year), f"'{two}"))
    return rng.choice(
        (f"{when.month}/{two}", f"{when.month:02d}/{when.year}", f"{_MONTHS[when.month - 1]} {when.year}", f"{when.month:02d}-{when.year}")
    )


def _stamp(rng: Random, when: PartialDate | None) -> str:
    """The stamp of a tested CO2 shell: month, the tester's mark, year."""
    if when is None or when.month is None:
        return _short(rng, when)
    return f"{when.month} [T317] {when.year % 100:02d}" if rng.random() < 0.7 else _short(rng, when)


def _annual(rng: Random, when: PartialDate | None) -> str:
    if when is None:
        return ""
    return f"{when.month}/{when.day}/{when.year if rng.random() < 0.8 else f'{when.year % 100:02d}'}"
