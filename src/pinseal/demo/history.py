"""Twelve years of rounds: one visit a year to each site, what happens in between, and the monthly looks of the last year."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from pinseal.demo import town
from pinseal.demo.bench import Crew, crew_of
from pinseal.demo.book import Book, later
from pinseal.demo.fleet import ADDED, Bottle, Numbers, new_bottle
from pinseal.demo.models import MODELS
from pinseal.demo.town import Site

# Visits whose day is part of the story.
_FIXED = {
    ("BD", 2025): date(2025, 11, 6),
    ("BD", 2026): date(2026, 11, 5),
    ("LB", 2025): date(2025, 11, 28),  # three weeks late: the roof was off
    ("LB", 2026): date(2026, 11, 30),
}
# Rooms that nobody could enter: site, year, how the place begins, days until somebody could (None: not yet), why.
_LOCKED: tuple[tuple[str, int, str, int | None, str], ...] = (
    ("HH", 2023, "Basement pump room", 34, "no access: locked, the key holder was away"),
    ("FD", 2020, "Jetty head", 21, "no access: a tanker lay alongside"),
    ("TH", 2026, "Bell loft", None, "no access: the stair is under repair"),
    ("BD", 2026, "Bus 1", None, "no access: the bus was on the road"),
)
_LATE, _MOVED, _USED, _LOST = 0.1, 0.012, 0.022, 0.003
_FIRST_ROUND_ON, _EARLIER_BY = 27, 2


def tell_years(rng: Random, book: Book, numbers: Numbers) -> None:
    """Every round from the takeover to the demo's day, in the order of the days."""
    for year in range(town.FIRST_YEAR, town.DAY.year + 1):
        sites = [site for site in town.SITES if site.joined == town.FIRST_YEAR]
        visits = sorted((_visit_day(rng, site, year), turn, site) for turn, site in enumerate(sites))
        for day, turn, site in visits:
            if town.TAKEN_OVER < day <= town.DAY:
                _visit(crew_of(rng, book, numbers, day=day, turn=turn + year), site)


def _visit_day(rng: Random, site: Site, year: int) -> date:
    """A workday in the site's month, two days earlier each year so that no unit goes over its year; now and then weeks late."""
    day = date(year, site.month, _FIRST_ROUND_ON - _EARLIER_BY * (year - town.FIRST_YEAR))
    days = rng.randint(20, 38)
    late = rng.random() < _LATE and year < town.DAY.year - 1 and site.month < 12
    day = _FIXED.get((site.letters, year), day + timedelta(days=days) if late else day)
    return day - timedelta(days=max(0, day.weekday() - 4))


def _visit(crew: Crew, site: Site) -> None:
    for bottle in crew.book.at(site.letters, crew.day):
        locked = next((each for each in _LOCKED if each[:2] == (site.letters, crew.day.year) and bottle.place.startswith(each[2])), None)
        if locked:
            _no_access(crew, bottle, locked[3], locked[4])
        else:
            crew.service(bottle)
    _add_new(crew, site)
    for bottle in crew.book.at(site.letters, crew.day):
        _between(crew, bottle)


def _no_access(crew: Crew, bottle: Bottle, days: int | None, reason: str) -> None:
    crew.book.add("not-done", bottle, crew.day, crew.person, {"reason": reason, "duty": "maintenance"})
    if days is not None:
        again = Crew(crew.rng, crew.book, crew.numbers, day=later(crew.day, days), person=crew.person)
        again.service(bottle)


def _add_new(crew: Crew, site: Site) -> None:
    for letters, key, count, year in ADDED:
        if (letters, year) == (site.letters, crew.day.year):
            for room in crew.rng.sample(site.rooms, count):
                fresh = new_bottle(crew.rng, crew.numbers, site=letters, place=f"{room}, new bracket", model=MODELS[key], day=crew.day)
                crew.book.hang(fresh, crew.day, crew.person)


def _between(crew: Crew, bottle: Bottle) -> None:
    """What may happen to a unit before the next round."""
    day = crew.day + timedelta(days=crew.rng.randint(12, 280))
    chance = crew.rng.random()
    if day > town.DAY:
        return
    if chance < _LOST:
        crew.book.take_away(bottle, day, crew.person, crew.rng.choice(("stolen", "lost in building work", "thrown away by mistake")))
        crew.replace(bottle, later(day, 6))
    elif chance < _LOST + _USED and bottle.model.rechargeable:
        crew.after_use(bottle, day)
    elif chance < _LOST + _USED + _MOVED:
        rooms = town.BY_LETTERS[bottle.site].rooms
        bottle.place = f"{crew.rng.choice(rooms)}, new hook"
        crew.book.add("moved", bottle, day, crew.person, {"place": bottle.place, "reason": "room altered"})


def tell_months(rng: Random, book: Book) -> None:
    """The monthly looks of the last twelve months, by the sites' own people. Older ones hang on the old tags only."""
    for site in town.SITES:
        if site.checks and site.joined == town.FIRST_YEAR:
            for month in range(12):
                year, number = divmod(11 + month, 12)
                _look(rng, book, site, _look_day(rng, site, town.DAY.year - 1 + year, number + 1))


def _look_day(rng: Random, site: Site, year: int, month: int) -> date:
    last = (year, month) == (town.DAY.year, town.DAY.month)
    return date(year, month, site.check_day) + timedelta(days=0 if last else rng.choice((0, 0, 0, 0, 0, 0, 1, 2)))


def _look(rng: Random, book: Book, site: Site, day: date) -> None:
    if day > town.DAY:
        return
    for bottle in book.at(site.letters, day):
        if rng.random() < 0.992:
            found = rng.choice(("seal missing", "blocked", "dusty", "sign fallen")) if rng.random() < 0.008 else ""
            book.add("inspected", bottle, day, site.checks or "", {"found": found} if found else {})
