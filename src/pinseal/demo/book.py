"""The shop's book while it is being written: deeds in the order in which they are told, and the numbers of the tags."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.fleet import Bottle


@dataclass(slots=True, kw_only=True, eq=False)
class Deed:
    """One record to be. `corrects` is the earlier deed that it puts right, `about` others by the field for their uid."""

    kind: str
    key: str
    done: PartialDate
    fields: dict[str, str]
    person: str
    corrects: Deed | None = None
    about: dict[str, Deed] = field(default_factory=dict)


class Book:
    """What the shop wrote down, and the fleet as it stands."""

    def __init__(self, fleet: list[Bottle]) -> None:
        self.fleet = fleet
        self.deeds: list[Deed] = []
        self._tags: dict[int, int] = {}

    def still_there(self, letters: str, key: str) -> list[Bottle]:
        """The units of a model that hang at a site at the end and have a number, in the order in which they came."""
        return [each for each in self.fleet if each.site == letters and each.model.key == key and each.gone is None and each.id]

    def at(self, letters: str, day: date) -> list[Bottle]:
        """The units that hang at a site on a day, in the order in which they came."""
        return [bottle for bottle in self.fleet if bottle.site == letters and bottle.there(day)]

    def add(self, kind: str, bottle: Bottle, day: date | PartialDate, person: str, fields: dict[str, str] | None = None) -> Deed:
        """Write one deed about a unit; a deed never lies after the demo's day."""
        return self.tell(kind, bottle.key, day, person, fields)

    def tell(self, kind: str, key: str, day: date | PartialDate, person: str, fields: dict[str, str] | None = None) -> Deed:
        """Write one deed about whatever has that key: a unit, an instrument by its id, a person by the name."""
        done = day if isinstance(day, PartialDate) else PartialDate.of(min(day, town.DAY))
        deed = Deed(kind=kind, key=key, done=done, fields=dict(fields or {}), person=person)
        self.deeds.append(deed)
        return deed

    def tag(self, year: int) -> str:
        """The number of the next tag of a year."""
        self._tags[year] = self._tags.get(year, 0) + 1
        return f"{year % 100:02d}{self._tags[year]:05d}"

    def hang(self, bottle: Bottle, day: date, person: str) -> None:
        """Register a new unit and put it to its place."""
        said = {"id": bottle.id or "", "serial": bottle.serial or "", "site": town.BY_LETTERS[bottle.site].name, "place": bottle.place}
        said |= bottle.model.nameplate | {"lot": bottle.lot or "", "manufactured": str(bottle.made)}
        self.add("registered", bottle, day, person, {name: text for name, text in said.items() if text})
        self.add("placed-in-service", bottle, day, person)
        self.fleet.append(bottle)

    def take_away(self, bottle: Bottle, day: date, person: str, reason: str, *, condemned: bool = False) -> None:
        """A unit leaves the fleet."""
        self.add("condemned" if condemned else "removed", bottle, day, person, {"reason": reason})
        bottle.gone = min(day, town.DAY)


def years_after(day: date, years: int) -> date:
    """The same day some years on; 1 March for a 29 February that does not exist."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def later(day: date, days: int) -> date:
    """Some days on, but never after the demo's day."""
    return min(day + timedelta(days=days), town.DAY)
