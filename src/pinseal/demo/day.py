"""The day on which the demo is looked at: a visit to the library, a stop at the bus depot, and what went over the bench for both.

All of it is invented. Each sheet is worked through the program's own door, so that its records, marks and dues are real ones.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from pinseal.demo import town
from pinseal.demo.book import Book
from pinseal.demo.hands import DaySheet
from pinseal.records.record import uuid7

VISITOR = "Isbel Varrowny"
LIBRARY = "Library on the Green"
_YEARLY = ("inspection", "maintenance")
_BENCH = (*_YEARLY, "internal-examination", "recharge")
_HANDED_TO = "Ledda Quarn, front desk (invented)"

_SHEETS: tuple[DaySheet, ...] = (
    DaySheet(unit="LB-027", works=("inspection",), person=VISITOR),
    DaySheet(unit="LB-037", works=_YEARLY, person=VISITOR),
    DaySheet(unit="LB-040", works=_YEARLY, person=VISITOR),
    DaySheet(unit="LB-042", works=_YEARLY, person=VISITOR),
    DaySheet(unit="LB-013", works=_YEARLY, person=VISITOR),
    DaySheet(
        unit="LB-023",
        works=_YEARLY,
        person=VISITOR,
        answers={"bracket-and-lug": "loose"},
        fix_after="bracket-and-lug",
        fix=("bracket-loose", "two longer screws into the wall", "bracket screws"),
    ),
    DaySheet(
        unit="LB-034",
        works=_YEARLY,
        person=VISITOR,
        until="gauge-reading",
        readings={
            "gauge-reading": {"gauge": "150 psi"},
            "stand-in-there": {"loaner": "WS-003", "hazard": "A"},
            "owner-told": {"told": f"{_HANDED_TO}, by letter, 24 Nov 2026"},
            "taken-away": {"where": "bench", "back-by": "2026-12-01"},
        },
        leaves={
            "stand-in-there": "stands",
            "red-tag": "on",
            "safe-for-the-way": "safe",
            "owner-told": "told",
            "taken-away": "gone",
        },
    ),
    DaySheet(unit="LB-039", works=_BENCH, person=VISITOR),
    DaySheet(unit="LB-032", works=(*_BENCH, "hydrostatic-test"), person=VISITOR, answers={"six-year-label": "test-label"}),
    DaySheet(unit="BD-104", works=_YEARLY, person=VISITOR),
    DaySheet(unit="BD-048", works=("conductivity-test",), person=VISITOR),
)


def day_sheets() -> tuple[DaySheet, ...]:
    """The sheets of the day in the order in which they were worked, each with its uid: the same on every call."""
    began = datetime(town.DAY.year, town.DAY.month, town.DAY.day, 13, 30, tzinfo=UTC)
    return tuple(
        replace(each, uid=uuid7(at=began + timedelta(minutes=25 * number), randomness=f"demo-{number:03d}".encode()))
        for number, each in enumerate(_SHEETS)
    )


def hand_over(book: Book) -> None:
    """The library's front desk takes the work over at the end of the visit."""
    first = next(bottle for bottle in book.fleet if bottle.id == _SHEETS[1].unit)
    book.add("noted", first, town.DAY, VISITOR, {"handed-to": _HANDED_TO, "note": "the visit of the day, every unit of it"})
