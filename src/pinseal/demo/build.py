"""The demo shop as plain values: its settings, the list it was handed, and every deed since, from one fixed seed.

Everything is invented: the town, its sites, the people, the makers, the numbers. No clock and no disk is used.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Any

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.book import Book, Deed
from pinseal.demo.day import day_sheets, hand_over
from pinseal.demo.deficiencies import tell_deficiencies
from pinseal.demo.fleet import Numbers, listed_fleet
from pinseal.demo.hands import DaySheet
from pinseal.demo.history import tell_months, tell_years
from pinseal.demo.instruments import keep_instruments
from pinseal.demo.joined import take_over_museum, take_over_ship
from pinseal.demo.loaners import keep_loaners
from pinseal.demo.paper import ANSWERS, REGISTER_NAME, ListedRow, write_list
from pinseal.demo.people import keep_people
from pinseal.demo.prices import BOOK
from pinseal.demo.stories import tell_stories
from pinseal.demo.supplies import keep_bottles, tell_leak
from pinseal.demo.withdrawn import LISTS
from pinseal.records.record import uuid7


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoDeed:
    """One record to be made.

    `unit` is the unit's first number: its id in the list where no other unit has that id, else its serial; for a unit that
    came later the id of its first `registered` deed. It stays the same when a unit gets another number, so it must be turned
    into a uid once. For an instrument it is the id, for a person the name. `uid` is the record's own; a `corrected` deed names
    the one that it corrects by it. A field `loaner` names a unit as `unit` does.
    """

    kind: str
    unit: str
    done: PartialDate
    fields: Mapping[str, str]
    person: str
    uid: str

    def said(self, uids: Mapping[str, str]) -> dict[str, str]:
        """The fields to write, by the uids that the units got: a loaner is named by its uid."""
        return {name: uids[text] if name == "loaner" else text for name, text in self.fields.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """The invented shop.

    `register_bytes` is the list to import with `answers`, as on `taken_over`; then come `deeds` in order, `withdrawals` (name and
    TOML of each list of withdrawn units), `prices`, the price book, and `sheets`, the job sheets of the day. `day` is the day on
    which the demo is looked at and `received` a moment on it at which all of it is taken in. `listed` says what each unit of the
    list was meant to say.
    """

    shop_name: str
    note: str
    settings: Mapping[str, object]
    day: date
    received: datetime
    taken_over: date
    register_name: str
    register_bytes: bytes
    answers: Mapping[str, str]
    listed: tuple[ListedRow, ...]
    deeds: tuple[DemoDeed, ...]
    withdrawals: tuple[tuple[str, str], ...]
    prices: Mapping[str, Any]
    sheets: tuple[DaySheet, ...]


def build() -> Demo:
    """The whole demo. The same on every call and every machine."""
    rng = Random(town.SEED)  # noqa: S311  no secret hangs on it
    numbers = Numbers(rng)
    fleet = listed_fleet(rng, numbers)
    register, listed = write_list(rng, fleet)
    book = Book(fleet)
    tell_years(rng, book, numbers)
    take_over_ship(rng, book, numbers)
    take_over_museum(rng, book, numbers)
    tell_months(rng, book)
    tell_stories(rng, book, numbers)
    tell_deficiencies(book)
    tell_leak(book)
    keep_bottles(book)
    keep_loaners(rng, book, numbers)
    keep_instruments(book)
    keep_people(book)
    hand_over(book)
    return Demo(
        shop_name=town.SHOP_NAME,
        note=town.NOTE,
        settings={
            "packs": list(town.PACKS),
            "time_zone": town.TIME_ZONE,
            "units": "us",
            "date_order": None,
            "currency": town.CURRENCY,
            "firm": {"name": town.SHOP_NAME, "address": f"14 Ropewalk, {town.TOWN}", "phone": "555 0142", "registration": "TFM-0001"},
            "marks": {"*": "us"},
            "sites": {site.name: f"{site.owner}; {site.street}, {town.TOWN}" for site in town.SITES},
            "web_address": "https://tolberhaven.example",
        },
        day=town.DAY,
        received=datetime(town.DAY.year, town.DAY.month, town.DAY.day, 22, 0, tzinfo=UTC),
        taken_over=town.TAKEN_OVER,
        register_name=REGISTER_NAME,
        register_bytes=register,
        answers=dict(ANSWERS),
        listed=listed,
        deeds=_with_uids(rng, book.deeds),
        withdrawals=tuple((each.name, each.toml()) for each in LISTS),
        prices=BOOK,
        sheets=day_sheets(),
    )


def _with_uids(rng: Random, deeds: list[Deed]) -> tuple[DemoDeed, ...]:
    """The deeds by day, each with its uid; those of one day keep their order."""
    ordered = sorted(deeds, key=lambda deed: (deed.done.latest, deed.done.earliest))
    of_day: dict[date, int] = {}
    uids: dict[int, str] = {}
    found = []
    for deed in ordered:
        day = deed.done.latest
        of_day[day] = of_day.get(day, 0) + 1
        at = datetime(day.year, day.month, day.day, 13, 0, tzinfo=UTC) + timedelta(seconds=7 * of_day[day])
        uid = uids[id(deed)] = uuid7(at=at, randomness=rng.randbytes(8))
        earlier = {"corrects": deed.corrects} if deed.corrects else deed.about
        fields = {name: uids[id(other)] for name, other in earlier.items()} | deed.fields
        found.append(DemoDeed(kind=deed.kind, unit=deed.key, done=deed.done, fields=fields, person=deed.person, uid=uid))
    return tuple(found)
