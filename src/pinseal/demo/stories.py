"""Small things that go wrong in any shop: serials interchanged, a deed written twice, a date mistyped, another shell, a worn plate."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from random import Random

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.book import Book, Deed, later
from pinseal.demo.fleet import Bottle, Numbers

# One fact each that can no longer be read on the plate of one unit: site letters, model, field.
_WORN: tuple[tuple[str, str, str], ...] = (
    ("AF", "abc-10", "gross-weight-low"),
    ("AF", "pk-150w", "gross-weight-high"),
    ("AF", "pk-350w", "regulator-pressure"),
    ("FT", "abc-5", "service-pressure"),
    ("FT", "co2-10", "gross-weight"),
    ("FD", "pk-30-cart", "cartridge-weight"),
    ("SM", "abc-20", "test-pressure"),
    ("SM", "antifreeze", "water-capacity"),
    ("HH", "co2-5", "water-capacity"),
    ("HH", "hcfc-11", "service-pressure"),
    ("LS", "co2-5", "cylinder-specification"),
    ("BD", "afff", "gauge-low"),
)


def tell_stories(rng: Random, book: Book, numbers: Numbers) -> None:
    """Each story, once the years are told."""
    by_key = {bottle.key: bottle for bottle in book.fleet}
    _serials_interchanged(book, by_key)
    _written_twice(book, by_key)
    _mistyped(book, by_key)
    _other_shell(book, numbers)
    _new_numbers(book)
    _found_again(book, by_key)
    _from_paper(rng, book)
    _worn_plates(book)


def _first(book: Book, wanted: Callable[[Deed], bool]) -> Deed:
    return next(deed for deed in book.deeds if wanted(deed))


def _correct(book: Book, bottle: Bottle, wrong: Deed, days: int, fields: dict[str, str]) -> None:
    """The office puts an earlier deed right."""
    day = later(wrong.done.latest, days)
    book.add("corrected", bottle, day, town.OFFICE, fields).corrects = wrong


def _serials_interchanged(book: Book, by_key: dict[str, Bottle]) -> None:
    """Two new units of one model were hung the same day, and each was written down with the serial of the other."""
    hung: dict[tuple[str, PartialDate, str], Deed] = {}
    for deed in book.deeds:
        bottle = by_key[deed.key]
        if deed.kind != "registered" or "id" not in deed.fields or bottle.gone or not 2019 <= deed.done.year <= 2023:
            continue
        other = hung.setdefault((bottle.site, deed.done, bottle.model.key), deed)
        if other is not deed:
            right = other.fields["serial"], deed.fields["serial"]
            other.fields["serial"], deed.fields["serial"] = right[1], right[0]
            for wrong, serial in ((other, right[0]), (deed, right[1])):
                said = {"to-serial": serial, "reason": "two serials were interchanged when the units were hung; seen at a later round"}
                _correct(book, by_key[wrong.key], wrong, 732, said)
            return


def _written_twice(book: Book, by_key: dict[str, Bottle]) -> None:
    found = _first(book, lambda deed: deed.kind == "recharged" and deed.done.year == 2022)
    bottle = by_key[found.key]
    day = later(found.done.latest, 1)
    twice = book.add("recharged", bottle, day, "Corwin Thackmere", found.fields)
    _correct(book, bottle, twice, 9, {"void": "yes", "reason": "the same recharge, written down twice"})


def _mistyped(book: Book, by_key: dict[str, Bottle]) -> None:
    found = _first(book, lambda deed: deed.kind == "maintained" and deed.done.year == 2024 and by_key[deed.key].site == "LS")
    right = str(found.done)
    found.done = PartialDate.of(found.done.latest - timedelta(days=61))
    _correct(book, by_key[found.key], found, 80, {"to-done": right, "reason": "the month was mistyped; the tag says otherwise"})


def _other_shell(book: Book, numbers: Numbers) -> None:
    bottle = next(each for each in book.still_there("FT", "co2-10") if each.known and each.joined == town.TAKEN_OVER)
    day = next(deed.done for deed in book.deeds if deed.key == bottle.key and deed.kind == "maintained" and deed.done.year == 2023)
    said = {
        "serial": numbers.serial(),
        "shell": "aluminium",
        "manufactured": "2023-01",
        "note": "neck thread worn: another cylinder fitted",
    }
    book.add("shell-exchanged", bottle, day, "Juno Felsporr", said)


def _new_numbers(book: Book) -> None:
    for turn, bottle in enumerate(book.still_there("FT", "abc-10")[:3], start=1):
        made = PartialDate(2025, 5, 20)
        if bottle.joined <= made.earliest:
            book.add(
                "retagged", bottle, made, "Isbel Varrowny", {"id": f"FT-9{turn:02d}", "note": "number plate painted over, a new one fitted"}
            )


def _found_again(book: Book, by_key: dict[str, Bottle]) -> None:
    stolen = [deed for deed in book.deeds if deed.kind == "removed" and deed.fields["reason"] == "stolen"]
    for deed in stolen[:1]:
        bottle = by_key[deed.key]
        back = later(deed.done.latest, 70)
        book.add("returned", bottle, back, town.OFFICE, {"place": "shop yard", "note": "washed up below the north mole"})
        book.take_away(bottle, later(back, 3), town.OFFICE, "salt water inside the valve", condemned=True)


def _from_paper(rng: Random, book: Book) -> None:
    """Recharges that the shop knows only from the owner's papers: to the month, and not whether they were opened."""
    for bottle in rng.sample(book.still_there("HH", "abc-5"), 4):
        said = {"source": "the owner's paper file", "note": "done by a mutual aid crew"}
        month = PartialDate(2025, rng.randint(1, 6))
        if bottle.joined <= month.earliest:
            book.add("recharged", bottle, month, town.OFFICE, said)


def _worn_plates(book: Book) -> None:
    """Plates that were read but for one fact: what rests on it stays unknown until somebody asks the maker."""
    for site, key, field in _WORN:
        bottle = next(each for each in reversed(book.still_there(site, key)) if each.known)
        for deed in book.deeds:
            if deed.key == bottle.key and deed.kind == "registered" and field in deed.fields:
                del deed.fields[field]
                deed.fields["note"] = f"the {field.replace('-', ' ')} on the plate is worn off"
