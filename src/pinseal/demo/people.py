"""The people of the demo shop with their roles and papers. All are invented, and so is the office that licenses them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pinseal.demo import town
from pinseal.demo.book import Book

_MARSHAL = "Tolberhaven Fire Marshal (invented)"
_SCHOOL = "Northmole Bench School (invented)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """One person. `licences` are the years at whose end of October a licence ran out, `courses` those of the bench course."""

    name: str
    letters: str
    role: str
    first: date
    licences: tuple[int, ...]
    courses: tuple[int, ...] = ()


HANDS: tuple[Hand, ...] = (
    Hand(name="Odalys Brackwater", letters="OB", role="technician", first=date(2014, 11, 17), licences=(2017, 2020, 2023, 2026, 2029)),
    Hand(name="Tam Eddowick", letters="TE", role="technician", first=date(2014, 11, 17), licences=(2017, 2020)),
    Hand(name="Juno Felsporr", letters="JF", role="technician", first=date(2017, 1, 9), licences=(2019, 2022, 2025, 2028)),
    Hand(
        name="Corwin Thackmere", letters="CT", role="bench", first=date(2020, 1, 6), licences=(2023, 2026), courses=(2022, 2025, 2028)
    ),  # his licence ran out this autumn
    Hand(name="Isbel Varrowny", letters="IV", role="technician", first=date(2022, 1, 10), licences=(2024, 2027), courses=(2024, 2027)),
)  # fmt: skip
LAPSED = "Corwin Thackmere"
_TO_THE_OFFICE, _LEFT = date(2022, 1, 3), date(2019, 12, 20)


def keep_people(book: Book) -> None:
    """Register everybody, hand out the papers, and end those of one who left."""
    for hand in HANDS:
        who = {"name": hand.name, "role": hand.role, "id": hand.letters}
        book.tell("person-registered", hand.name, hand.first, town.OFFICE, who)
        _papers(book, hand, "licence", hand.licences, _MARSHAL)
        _papers(book, hand, "training", hand.courses, _SCHOOL)
    senior, gone = HANDS[0], HANDS[1]
    book.tell("person-registered", senior.name, _TO_THE_OFFICE, town.OFFICE, {"name": senior.name, "role": "supervisor"})
    number = _number(gone, "licence", gone.licences[-1])
    book.tell("paper-ended", gone.name, _LEFT, town.OFFICE, {"paper": "licence", "number": number, "reason": "left the shop"})


def _number(hand: Hand, paper: str, year: int) -> str:
    return f"{'TFM' if paper == 'licence' else 'NBS'}-{hand.letters}-{year}"


def _papers(book: Book, hand: Hand, paper: str, years: tuple[int, ...], issued_by: str) -> None:
    start = hand.first
    for year in years:
        said = {
            "paper": paper,
            "class": "portable and wheeled" if paper == "licence" else "pressure tests",
            "number": _number(hand, paper, year),
            "issued-by": issued_by,
            "jurisdiction": town.TOWN,
            "from": start.isoformat(),
            "until": date(year, 10, 31).isoformat(),
        }
        book.tell("paper-held", hand.name, start, town.OFFICE, said)
        start = date(year, 11, 1)
