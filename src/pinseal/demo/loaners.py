"""The units that the demo shop lends out, and two that it took away this month and left one of them for."""

from __future__ import annotations

from datetime import date
from random import Random

from pinseal.demo import town
from pinseal.demo.book import Book
from pinseal.demo.fleet import Bottle, Numbers, new_bottle
from pinseal.demo.models import MODELS

_BOUGHT, _ROUND, _LOOK_DAY = date(2025, 12, 8), date(2026, 10, 5), 20
_STOCK = (
    ("abc-10", "Van 1"), ("abc-10", "Loaner rack"), ("abc-20", "Van 2"), ("abc-20", "Loaner rack"), ("co2-10", "Van 1"),
    ("afff", "Van 2"), ("wet-chem", "Loaner rack"),
)  # fmt: skip
_KEEPER, _VISITOR = "Corwin Thackmere", "Isbel Varrowny"


def keep_loaners(rng: Random, book: Book, numbers: Numbers) -> None:
    """Buy them, look at them every month, service them once, and lend two of them."""
    stock = [_bought(rng, book, numbers, key, place) for key, place in _STOCK]
    for bottle in stock:
        for month in range(11, 23):
            year, number = divmod(month, 12)
            book.add("inspected", bottle, date(2025 + year, number + 1, _LOOK_DAY), _KEEPER)
        _serviced(book, bottle)
    _kitchen(book, stock)
    _mill(book, stock)


def _bought(rng: Random, book: Book, numbers: Numbers, key: str, place: str) -> Bottle:
    bottle = new_bottle(rng, numbers, site=town.WORKSHOP, place=place, model=MODELS[key], day=_BOUGHT)
    book.hang(bottle, _BOUGHT, _KEEPER)
    book.add("inspected", bottle, _BOUGHT, _KEEPER)
    return bottle


def _serviced(book: Book, bottle: Bottle) -> None:
    book.add("maintained", bottle, _ROUND, _KEEPER, {"tag": book.tag(_ROUND.year)})
    if bottle.model.agent == "co2":
        book.add("conductivity-tested", bottle, _ROUND, _KEEPER, {"result": "pass"})


def _kitchen(book: Book, stock: list[Bottle]) -> None:
    """The hospital's kitchen unit lost its pressure and must be back before the week is out."""
    said = {"finding": "charge-low", "action": "recharge", "words": "needle under the band, the seal whole: it leaks"}
    away = {
        "taken-to": "bench",
        "back-by": "2026-11-27",
        "state": "charged, but low",
        "reason": "leaks; the ring of the valve stem is looked for",
    }
    _lend(book, _first(book.still_there("HH", "wet-chem")), _of(stock, "wet-chem"), date(2026, 11, 19), said, away)


def _mill(book: Book, stock: list[Bottle]) -> None:
    """A unit of the mill waits at the maker's for a gauge."""
    said = {"finding": "gauge-damaged", "action": "internal-maintenance", "words": "gauge struck by a log, the needle is stuck"}
    away = {
        "taken-to": "maker",
        "back-by": "2026-12-18",
        "state": "empty and open",
        "reason": "a new gauge, which only the maker fits to this model",
    }
    _lend(book, _first(book.still_there("SM", "abc-20")), _of(stock, "abc-20"), date(2026, 11, 12), said, away)


def _first(bottles: list[Bottle]) -> Bottle:
    return next(each for each in bottles if each.known)


def _of(stock: list[Bottle], key: str) -> Bottle:
    return next(each for each in stock if each.model.key == key)


def _lend(book: Book, bottle: Bottle, loaner: Bottle, day: date, found: dict[str, str], away: dict[str, str]) -> None:
    """What is wrong, the unit that leaves, and the loaner that takes its place and is looked at there."""
    book.add("found-deficient", bottle, day, _VISITOR, found)
    book.add("taken-away", bottle, day, _VISITOR, away | {"loaner": loaner.key})
    where = {"site": town.BY_LETTERS[bottle.site].name, "place": bottle.place, "reason": f"stands in for {bottle.id}"}
    book.add("moved", loaner, day, _VISITOR, where)
    book.add("inspected", loaner, day, _VISITOR)
