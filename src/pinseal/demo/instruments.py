"""The demo shop's instruments: what they are, how they were checked over the years, and which readings were taken on them.

All are invented, and so is the room that certifies them. One scale was forgotten this summer; one test gauge turned out bad this
autumn, so that what was tested on it since its last good check is in doubt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from pinseal.demo import town
from pinseal.demo.book import Book, Deed
from pinseal.demo.figures import FIGURES, pounds
from pinseal.demo.fleet import Bottle

_ROOM = "Saltmere Calibration Room (invented)"
_YEAR, _HALF_YEAR = 364, 175  # in days: always a Monday, and never a day late
BAD, LAPSED = "TG-2", "SC-2"
_GAUGES, _JACKET = ("TG-1", "TG-2"), "WJ-1"
_PLATFORM_STEP_OZ = 3.2  # 0.2 lb


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """One invented instrument. `first` is the day on which it was bought and first checked, `every` the days between two checks."""

    id: str
    what: str
    first: date
    against: str
    range_text: str = ""
    resolution: str = ""
    uncertainty: str = ""
    accuracy_percent: str = ""
    every: int = _YEAR
    note: str = ""

    @property
    def certified(self) -> bool:
        """Whether its checks come with a paper of their own."""
        return self.against == _ROOM

    def said(self) -> dict[str, str]:
        """The fields of its registering."""
        said = {
            "id": self.id,
            "what": self.what,
            "serial": f"{self.id.replace('-', '')}{self.first:%y%m}",
            "range": self.range_text,
            "resolution": self.resolution,
            "uncertainty": self.uncertainty,
            "accuracy-percent": self.accuracy_percent,
            "note": self.note,
        }
        return {name: text for name, text in said.items() if text}


_START = date(2014, 11, 17)
TOOLS: tuple[Tool, ...] = (
    Tool(id="SC-1", what="scale", first=_START, against="check weights", range_text="0 to 150 lb", resolution="0.5 oz",
         uncertainty="0.3 oz", note="bench scale"),
    Tool(id="SC-2", what="scale", first=date(2015, 8, 10), against="check weights", range_text="0 to 1000 lb", resolution="0.2 lb",
         uncertainty="0.15 lb", note="platform scale for wheeled units, rides in van 2"),
    Tool(id="RG-1", what="regulator", first=_START, against="MG-1", range_text="0 to 400 psi", resolution="2 psi", uncertainty="1 psi",
         accuracy_percent="0.5", note="bench regulator"),
    Tool(id="MG-1", what="master-gauge", first=_START, against=_ROOM, range_text="0 to 5000 psi", resolution="1 psi",
         uncertainty="1 psi", accuracy_percent="0.1"),
    Tool(id="TG-1", what="test-gauge", first=_START, against="MG-1", range_text="0 to 1000 psi", resolution="2 psi",
         uncertainty="1.5 psi", accuracy_percent="0.5", every=_HALF_YEAR),
    Tool(id="TG-2", what="test-gauge", first=_START, against="MG-1", range_text="0 to 1000 psi", resolution="2 psi",
         uncertainty="1.5 psi", accuracy_percent="0.5", every=_HALF_YEAR),
    Tool(id="TG-3", what="test-gauge", first=_START, against="MG-1", range_text="0 to 5000 psi", resolution="10 psi",
         uncertainty="8 psi", accuracy_percent="0.5", every=_HALF_YEAR, note="on the pump of the water jacket"),
    Tool(id="TM-1", what="thermometer", first=_START, against=_ROOM, range_text="-40 to 250 F", resolution="0.1 F", uncertainty="0.4 F"),
    Tool(id="CC-1", what="calibrated-cylinder", first=_START, against=_ROOM, range_text="182.0 cm3 at 3000 psi", resolution="0.1 cm3",
         uncertainty="0.3 cm3"),
    Tool(id="WJ-1", what="test-jacket", first=_START, against="CC-1", range_text="0 to 500 cm3", resolution="0.1 cm3",
         uncertainty="0.2 cm3", every=0),
    Tool(id="CT-1", what="conductivity-tester", first=_START, against="a known resistor"),
    Tool(id="HY-1", what="hygrometer", first=date(2018, 4, 9), against=_ROOM, range_text="-120 to 0 F", resolution="1 F",
         uncertainty="2 F", note="dew point of the charging gas"),
    Tool(id="RM-1", what="recovery-machine", first=_START, against="a weighed charge", note="bicarbonate and other alkaline powder alone"),
    Tool(id="RM-2", what="recovery-machine", first=date(2016, 2, 8), against="a weighed charge", note="ABC powder alone"),
)  # fmt: skip


def keep_instruments(book: Book) -> None:
    """Register them, write down on which of them the tests on record were read, and check them."""
    for tool in TOOLS:
        book.tell("instrument-registered", tool.id, tool.first, town.OFFICE, tool.said())
    _name_gauges(book.deeds)
    _weigh_wheeled(book)
    for turn, tool in enumerate(TOOLS):
        for number, day in enumerate(_days_of(tool, book)):
            _check(book, tool, day, number, person=town.technician_of(day.year, turn))


def _name_gauges(deeds: list[Deed]) -> None:
    """Shells in the jacket, everything else on the two test gauges in turn."""
    turn = jacketed = 0
    for deed in deeds:
        if deed.kind == "tested" and deed.fields.get("method") == "water-jacket":
            deed.fields["instrument"] = _JACKET
            _grow(deed, jacketed)
            jacketed += 1
        elif deed.kind in ("tested", "hose-tested"):
            deed.fields["instrument"] = _GAUGES[turn % len(_GAUGES)]
            turn += 1


def _grow(deed: Deed, turn: int) -> None:
    """What the burette showed: shells of one kind grow alike, and little of it stays."""
    total, permanent = 384 + turn * 7 % 31, 4 + turn * 3 % 14
    deed.fields |= {
        "total-expansion": f"{total / 10:.1f} cm3",
        "permanent-expansion": f"{permanent / 10:.1f} cm3",
        "held": f"{(30, 35, 40)[turn % 3]} s",
        "visual": "sound inside and outside",
    }


def _weigh_wheeled(book: Book) -> None:
    """Each wheeled unit was weighed at its last yearly visit; the figures lie a step or two about the full weight."""
    since = town.DAY - timedelta(days=365)
    wheeled = {bottle.key: bottle for bottle in book.fleet if bottle.model.wheeled and bottle.known}
    turn = 0
    for deed in tuple(book.deeds):
        if deed.kind == "maintained" and deed.key in wheeled and deed.done.earliest > since:
            turn += 1
            book.add("measured", wheeled[deed.key], deed.done, deed.person, _weight(wheeled[deed.key], turn))


def _weight(bottle: Bottle, turn: int) -> dict[str, str]:
    figures = FIGURES[bottle.model.key]
    steps = round(figures.gross_oz / _PLATFORM_STEP_OZ) + (1, -2, 0, 2, -1)[turn % 5]
    low, high = figures.gross_oz - figures.under_oz, figures.gross_oz + figures.over_oz
    because = f"the plate allows {pounds(low)} to {pounds(high)}"
    return {"quantity": "gross weight", "value": f"{steps / 5:.1f} lb", "instrument": LAPSED, "verdict": "pass", "because": because}


def _days_of(tool: Tool, book: Book) -> Iterator[date]:
    """The days on which it was checked. The jacket is checked on each day of its use, and on the demo's own."""
    if tool.id == _JACKET:
        yield from sorted({town.DAY} | {deed.done.latest for deed in book.deeds if deed.fields.get("instrument") == _JACKET})
        return
    day = tool.first
    while day <= town.DAY:
        if not (tool.id == LAPSED and day.year == town.DAY.year):
            yield day
        day += timedelta(days=tool.every)


def _check(book: Book, tool: Tool, day: date, number: int, *, person: str) -> None:
    last = tool.id == BAD and day + timedelta(days=tool.every) > town.DAY
    said = {"check": "bad" if last else "good", "against": tool.against}
    if tool.certified:
        said |= {"certificate": f"SCR-{day:%y}-{tool.id.replace('-', '')}", "until": (day + timedelta(days=tool.every)).isoformat()}
    if tool.id == _JACKET:
        read = f"{(182.0, 182.3, 181.8, 182.1)[number % 4]} cm3"
        said |= {"value": f"{read} at 3000 psi", "check-pressure": "3000 psi", "certified-expansion": "182.0 cm3"}
        said |= {"total-expansion": read, "permanent-expansion": "0.0 cm3"}
    if last:
        said |= {"value": "592 psi where the master gauge showed 580 psi", "note": "taken off the bench, the maker has it"}
    book.tell("instrument-checked", tool.id, day, person, said)
