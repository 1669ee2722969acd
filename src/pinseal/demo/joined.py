"""Two neglected sites that the demo shop took over in its last year: a ship in June 2026 and a museum in September 2026."""

from __future__ import annotations

from datetime import date
from random import Random

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.book import Book
from pinseal.demo.fleet import Bottle, Numbers, parse_counts
from pinseal.demo.models import BAD_LOT, BAD_MADE, BAD_MODEL, MODELS, Model
from pinseal.demo.withdrawn import BAD_LIST

SHIP_DAY, MUSEUM_DAY = date(2026, 6, 17), date(2026, 9, 16)
_ABOARD = "abc-10 7, abc-5 6, co2-10 5, co2-15 2, afff 3, wet-chem 1, water 2, abc-disposable 4"
_ON_SHOW = ("soda-acid", "chemical-foam", "vapour", "cartridge-water", "water-fibre")
_MUSEUM = "abc-5 8, co2-5 4, water 2, abc-10 2, pump 2, halon-1301 1, halon-13 1, pk-10-1981 3, water-1968 1"
_SHUT = ("Hold forward", "Hold aft", "Cabin 3", "Cabin 7", "Paint locker")
_LOOKS = (date(2026, 7, 20), date(2026, 8, 18), date(2026, 9, 21), date(2026, 11, 2))


def _hand(year: int) -> str:
    return town.technician_of(year, year)


class _Taking:
    """One takeover: each unit is registered with what its plate, its stamps and its old tag still say."""

    def __init__(self, rng: Random, book: Book, numbers: Numbers, letters: str, day: date) -> None:
        self.rng, self.book, self.numbers, self.letters, self.day = rng, book, numbers, letters, day
        self.site = town.BY_LETTERS[letters]
        self.person = _hand(day.year)

    def unit(self, model: Model, place: str, made: PartialDate | None, dates: dict[str, PartialDate], *, lot: str = "") -> Bottle:
        """Register one; `dates` are by the names of the fields."""
        number = self.numbers.id(self.letters)
        bottle = Bottle(
            key=number, id=number, serial=self.numbers.serial(), site=self.letters, place=place, model=model,
            made=made or PartialDate(1930), joined=self.day, seen=True, lot=lot or None,
        )  # fmt: skip
        said = {"id": number, "serial": bottle.serial or "", "site": self.site.name, "place": place} | model.nameplate
        said |= {"lot": lot, "manufactured": str(made) if made else ""} | {name: str(when) for name, when in dates.items()}
        self.book.add("registered", bottle, self.day, self.person, {name: text for name, text in said.items() if text})
        self.book.fleet.append(bottle)
        return bottle

    def maintained(self, bottle: Bottle) -> None:
        self.book.add("maintained", bottle, self.day, self.person, {"tag": self.book.tag(self.day.year)})
        if bottle.model.agent == "co2" and bottle.model.hose != "none":
            self.book.add("conductivity-tested", bottle, self.day, self.person, {"result": "pass"})


def take_over_ship(rng: Random, book: Book, numbers: Numbers) -> None:
    """She came with old tags and sailed the same night: what needed the bench is still open."""
    taking = _Taking(rng, book, numbers, "SH", SHIP_DAY)
    aboard = []
    for turn, model in enumerate(parse_counts(_ABOARD)):
        place = taking.site.rooms[turn % len(taking.site.rooms)]
        made = PartialDate(rng.randint(2009, 2013) if not model.rechargeable else rng.randint(2008, 2021), rng.randint(1, 12))
        made = PartialDate(made.year) if rng.random() < 0.25 else made
        aboard.append(taking.unit(model, place, made, _ship_dates(rng, model, made)))
    for place in ("Galley passage", "Workshop flat"):
        bad = taking.unit(MODELS[BAD_MODEL], place, PartialDate(*BAD_MADE), {"last-maintenance": PartialDate(2025, 2)}, lot=BAD_LOT)
        book.add("recalled", bad, SHIP_DAY, taking.person, {"list": BAD_LIST.title, "action": BAD_LIST.action})
        book.add("noted", bad, SHIP_DAY, taking.person, {"note": "no spare aboard: stays on its hook until she calls again"})
    taking.unit(MODELS[BAD_MODEL], "Funnel casing", PartialDate(2017, 4), {"last-maintenance": PartialDate(2025, 2)})
    for bottle in aboard:
        if bottle.place in _SHUT:
            book.add("not-done", bottle, SHIP_DAY, taking.person, {"reason": "no access: shut for sea", "duty": "maintenance"})
        else:
            taking.maintained(bottle)
    for day in _LOOKS:
        for bottle in aboard[: 20 if day == _LOOKS[-1] else len(aboard)]:
            book.add("inspected", bottle, day, taking.site.checks or "")


def _ship_dates(rng: Random, model: Model, made: PartialDate) -> dict[str, PartialDate]:
    dates = {"last-maintenance": PartialDate(2025, 2)}
    if model.test_years == 5 and made.year < 2018:
        dates["last-hydrostatic-test"] = PartialDate(rng.randint(2018, 2023), rng.randint(1, 12))
    elif model.inside_years == 6 and made.year < 2016 and rng.random() < 0.5:
        dates["last-internal-examination"] = PartialDate(rng.randint(2019, 2023))
    if model.test_years == 12 and made.year < 2012:
        dates["last-hydrostatic-test"] = PartialDate(made.year + 12)
    return dates


def take_over_museum(rng: Random, book: Book, numbers: Numbers) -> None:
    """Working units and exhibits hung side by side; nobody reports a monthly look."""
    taking = _Taking(rng, book, numbers, "MU", MUSEUM_DAY)
    for key in _ON_SHOW:
        old = taking.unit(MODELS[key], "Fire brigade corner", None, {})
        book.add("noted", old, MUSEUM_DAY, taking.person, {"note": "an exhibit that still hangs as if for use: empty it and label it so"})
    for turn, model in enumerate(parse_counts(_MUSEUM)):
        place = taking.site.rooms[turn % len(taking.site.rooms)]
        first, last = model.made if model.made[1] < 2000 else (2012, 2022)
        made = PartialDate(1968) if model.key == "water-1968" else PartialDate(rng.randint(first, last), rng.randint(1, 12))
        bottle = taking.unit(model, place, made, _museum_dates(rng, model, made))
        taking.maintained(bottle)
        if model.yearly:
            book.add("opened", bottle, MUSEUM_DAY, taking.person)
            book.add("agent-renewed", bottle, MUSEUM_DAY, taking.person, {"agent": model.agent})


def _museum_dates(rng: Random, model: Model, made: PartialDate) -> dict[str, PartialDate]:
    dates = {}
    if model.test_years and made.year + model.test_years < 2026:
        dates["last-hydrostatic-test"] = PartialDate(max(2026 - rng.randint(1, model.test_years), made.year + 1))
    if model.test_years == 12 and rng.random() < 0.6:
        dates["last-recharge"] = PartialDate(rng.randint(2018, 2023))  # the tag does not say whether it was opened
    return {name: when for name, when in dates.items() if when.year > made.year}
