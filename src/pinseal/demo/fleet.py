"""The units of the demo: which models hang at which site, what was known of each one on the day of the takeover."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from random import Random

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.models import BAD_LOT, BAD_MADE, BAD_MODEL, ENDED_MODEL, MODELS, Model

# How many of which model the old shop's list gives, by the letters of the site.
LISTED: dict[str, str] = {
    "AF": "abc-10 8, abc-5 5, abc-20 4, pk-30-cart 4, pk-125w 4, pk-150w 3, pk-350w 3, halon-150w 2, halon-13 4, hcfc-11 4, co2-15 5,"
    "co2-50w 1, d-salt-30 1, d-copper-30 1, afff-33w 2, hfc236-10 2",
    "FT": "abc-10 13, abc-5 10, co2-10 6, co2-15 2, water 3, wet-chem 2, afff 3, hcfc-11 2",
    "FD": "pk-20 8, pk-30-cart 6, kcl-20 4, upk-20 3, pk-125w 3, pk-350w 2, afff 4, fffp 2, afff-33w 2, abc-10 6, co2-15 4",
    "SM": "abc-20 10, abc-10 8, abc-20-cart 5, water 4, pump 3, antifreeze 4, loaded-stream 2, wetting 2, co2-10 4",
    "HH": "abc-5 22, abc-10 8, co2-5 4, co2-10 8, mist 3, wet-chem 3, hcfc-11 2, hfc227-5 1, clean-5 1, water 3",
    "LS": "abc-5 22, abc-10 12, co2-5 6, water 4, wet-chem 2",
    "CS": "abc-10 10, abc-10-ss 6, antifreeze 6, co2-10 6, abc-5 4",
    "TH": "abc-5 16, abc-10 6, co2-5 5, co2-10 3, halon-1301 1, halon-9 3, water 2",
    "BR": "abc-10 10, abc-5 6, co2-10 6, co2-15 2, water 2, wet-chem 1, fffp 1, bc-10 4, dc-20 2",
    "BY": "abc-10 10, abc-20 4, co2-10 4, bc-10 6, afff 3, d-30 1, d-graphite-30 1, wetting 2",
    "CH": "abc-5 24, abc-10 4, co2-5 4, wet-chem 2, water 2",
    "BD": "abc-20 6, abc-10 4, bc-disposable 14, abc-5 10, afff 4, co2-10 6, pk-20 2",
    "LB": "abc-5 10, co2-5 6, halon-9 2, water 4",
}
# What came later as new units: site letters, model, how many, in which year.
ADDED: tuple[tuple[str, str, int, int], ...] = (
    ("FT", "abc-10", 5, 2017),
    ("CH", "mist", 4, 2017),
    ("BD", "abc-10", 6, 2017),
    ("BR", "abc-10", 4, 2018),
    ("HH", "mist-small", 3, 2018),
    ("TH", "fk-9", 2, 2019),
    ("LB", "hfc236-10", 2, 2019),
    ("LS", "fluorine-free", 2, 2021),
    ("BY", "fluorine-free", 3, 2022),
    ("FT", "abc-5", 3, 2024),
    ("BR", "abc-10", 2, 2025),
)
COUNTED = ((7, "abc-5"),)  # at the moorings: counted, never seen
DISCS = "117"  # two sites wear the same brass disc
_SHARED_DISC = ("SM", "BR")
_UNREAD_SHARE, _NO_NUMBER_SHARE = 0.05, 0.03


@dataclass(slots=True, kw_only=True)
class Bottle:
    """One unit while its history is being told.

    `key` is how deeds name it: its first number in the owner's list, or its serial where that number is not its own.
    `made` is what the shell says, `read` whether it could be read in the list. `last` holds the last time of each fact, as the
    shop knows it. `known` is false for a nameplate that nobody could ever read. `seen` tells whether it had its first visit.
    """

    key: str
    id: str | None
    serial: str | None
    site: str
    place: str
    model: Model
    made: PartialDate
    lot: str | None = None
    last: dict[str, PartialDate] = field(default_factory=dict)
    known: bool = True
    read: bool = True
    seen: bool = False
    joined: date = town.TAKEN_OVER
    gone: date | None = None
    remark: str = ""

    def there(self, day: date) -> bool:
        """Whether it hung at its site on a day."""
        return self.joined <= day and (self.gone is None or self.gone > day)


class Numbers:
    """Serials and tag numbers: each given once."""

    def __init__(self, rng: Random) -> None:
        self._rng = rng
        self._serials: set[str] = set()
        self._last: dict[str, int] = {}

    def serial(self) -> str:
        while True:
            found = f"{self._rng.choice('ABCDEFHKLMNPRTVWX')}{self._rng.choice('QXZJV')}{self._rng.randrange(100_000, 999_999)}"
            if found not in self._serials:
                self._serials.add(found)
                return found

    def id(self, letters: str) -> str:
        self._last[letters] = self._last.get(letters, 0) + self._rng.choice((1, 1, 1, 2))
        return f"{letters}-{self._last[letters]:03d}"


def parse_counts(text: str) -> list[Model]:
    """`abc-10 8, co2-5 2` as models, one for each unit."""
    pairs = (part.split() for part in text.split(",") if part.strip())
    return [MODELS[key] for key, number in pairs for _ in range(int(number))]


def listed_fleet(rng: Random, numbers: Numbers) -> list[Bottle]:
    """The units of the old list, site by site, in walking order."""
    fleet = []
    for letters, text in LISTED.items():
        models = parse_counts(text)
        places = _places(rng, town.BY_LETTERS[letters].rooms, len(models))
        rng.shuffle(models)
        fleet += [_listed(rng, numbers, letters, place, model) for place, model in zip(places, models, strict=True)]
        _share_disc(fleet, letters)
    _buses(fleet)
    return fleet


def _places(rng: Random, rooms: tuple[str, ...], count: int) -> list[str]:
    """Rooms in walking order, each with as many units as are needed, told apart by where they hang."""
    shares = [count // len(rooms) + (turn < count % len(rooms)) for turn in range(len(rooms))]
    sides = ("by the door", "far wall", "left", "right", "by the panel", "column")
    places = []
    for room, share in zip(rooms, shares, strict=True):
        picked = rng.sample(sides, share) if share > 1 else [""]
        places += [f"{room}, {side}" if side else room for side in picked[:share]]
    return places


def _listed(rng: Random, numbers: Numbers, letters: str, place: str, model: Model) -> Bottle:
    first, last = model.made
    made = PartialDate(rng.randint(first, last), rng.randint(1, 9))
    if rng.random() < 0.22 and made.year < town.FIRST_YEAR:
        made = PartialDate(made.year)
    number, serial = numbers.id(letters), numbers.serial()
    bottle = Bottle(key=number, id=number, serial=serial, site=letters, place=place, model=model, made=made)
    bottle.known = rng.random() > _UNREAD_SHARE
    bottle.read = rng.random() > _UNREAD_SHARE
    if rng.random() < _NO_NUMBER_SHARE:
        bottle.id, bottle.key = None, serial
    elif rng.random() < _NO_NUMBER_SHARE:
        bottle.serial = None
    _past(rng, bottle)
    return bottle


def _share_disc(fleet: list[Bottle], letters: str) -> None:
    if letters in _SHARED_DISC:
        bottle = next(each for each in reversed(fleet) if each.serial and each.id)
        bottle.id, bottle.key = DISCS, bottle.serial or ""


def _buses(fleet: list[Bottle]) -> None:
    """The disposables of the bus depot, and the small ones, ride in buses."""
    riding = [bottle for bottle in fleet if bottle.site == "BD" and bottle.model.key in ("bc-disposable", "abc-5")]
    for number, bottle in enumerate(riding, start=11):
        bottle.place = f"Bus {number}"


def _past(rng: Random, bottle: Bottle) -> None:
    """What the old shop did, as far as its list says: tests and inside work at the usual years, some of them left out."""
    model, end = bottle.model, 2014 + 9 / 12
    start = bottle.made.earliest.year + (bottle.made.earliest.month - 1) / 12
    for fact, years in (("hydrostatic-test", model.test_years), ("internal-examination", model.inside_years)):
        begun = (
            bottle.last["hydrostatic-test"].earliest.year if fact == "internal-examination" and "hydrostatic-test" in bottle.last else start
        )
        if years is None or years == 1 or end - begun < years or rng.random() < 0.05:
            continue
        year = int(begun + years * int((end - begun) / years))
        bottle.last[fact] = PartialDate(year, rng.randint(1, 9)) if rng.random() < 0.75 or fact == "hydrostatic-test" else PartialDate(year)
    if rng.random() < 0.96:
        day = date(2013 if rng.random() < 0.25 else 2014, rng.randint(1, 10), rng.randint(1, 28))
        bottle.last["maintenance"] = PartialDate.of(max(day, bottle.made.latest))
    if rng.random() < 0.04 and bottle.made.year < 2011 and model.rechargeable:
        bottle.last["recharge"] = PartialDate(rng.randint(2011, 2013), rng.randint(1, 12))
        bottle.remark = "recharged"


def new_bottle(rng: Random, numbers: Numbers, *, site: str, place: str, model: Model, day: date) -> Bottle:
    """A unit that is bought and hung on a day: made some months before, number and serial of its own."""
    months = day.year * 12 + day.month - 1 - rng.randint(1, 7)
    made = PartialDate(months // 12, months % 12 + 1)
    lot = f"{rng.choice('CFKQRT')}{made.year % 100}-{rng.randint(101, 190)}"
    if model.key == BAD_MODEL and date(2017, 5, 1) <= day <= date(2018, 9, 30):
        made, lot = PartialDate(*BAD_MADE), BAD_LOT
    number = numbers.id(site)
    return Bottle(
        key=number, id=number, serial=numbers.serial(), site=site, place=place, model=model, made=made, lot=lot, joined=day, seen=True
    )  # fmt: skip


def is_bad(bottle: Bottle) -> bool:
    """Whether it is of the batch that leaks down."""
    return bottle.lot == BAD_LOT


def is_ended(bottle: Bottle) -> bool:
    """Whether its parts can no longer be had."""
    return bottle.model.key == ENDED_MODEL
