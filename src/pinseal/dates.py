"""Dates that know how exactly they are known: a day, a month or a year, as an earliest and a latest day.

Machine dates are ISO only (`2014`, `2014-06`, `2014-06-30`); nothing is guessed here. The column engine uses day
numbers: whole days since 1 January 1900 (day 0), for the two centuries 1900 to 2099.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from pinseal.reasons import Refusal

EPOCH = date(1900, 1, 1)
FIRST_YEAR, LAST_YEAR = 1900, 2099
DAYS = (date(LAST_YEAR, 12, 31) - EPOCH).days + 1

_ISO = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?", re.ASCII)
# How dates are written for people. Machine dates are ISO whatever is chosen.
DATE_STYLES: dict[str, str] = {"words": "24 Nov 2026", "iso": "2026-11-24", "mdy": "11/24/2026"}
# The style of what is being written now: a page sets it for the time of one request, as its shop has chosen.
DATE_STYLE: ContextVar[str] = ContextVar("date_style", default="words")


@contextmanager
def written_for_good() -> Iterator[None]:
    """Write dates in words for a while: what is kept says the same whatever the shop chooses for its pages."""
    before = DATE_STYLE.set("words")
    try:
        yield
    finally:
        DATE_STYLE.reset(before)


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, order=True)
class PartialDate:
    """A date known to the day, the month or the year.

    >>> PartialDate(2014, 6).earliest.isoformat(), PartialDate(2014, 6).latest.isoformat()
    ('2014-06-01', '2014-06-30')
    >>> str(PartialDate(2014)), PartialDate(2014, 6, 9).for_people()
    ('2014', '9 Jun 2014')
    """

    year: int
    month: int | None = None
    day: int | None = None

    def __post_init__(self) -> None:
        if not FIRST_YEAR <= self.year <= LAST_YEAR:
            raise _refused(str(self), f"years run from {FIRST_YEAR} to {LAST_YEAR}")
        if self.day is not None and self.month is None:
            raise _refused(str(self), "a day needs its month")
        if self.month is not None and not 1 <= self.month <= 12:
            raise _refused(str(self), "months run from 01 to 12")
        if self.month and self.day is not None and not 1 <= self.day <= monthrange(self.year, self.month)[1]:
            raise _refused(str(self), "the day must be in the calendar")

    @property
    def precision(self) -> str:
        """`day`, `month` or `year`."""
        return "day" if self.day else "month" if self.month else "year"

    @property
    def earliest(self) -> date:
        return _ends(self)[0]

    @property
    def latest(self) -> date:
        return _ends(self)[1]

    def __str__(self) -> str:
        month = "" if self.month is None else f"-{self.month:02d}"
        day = "" if self.day is None else f"-{self.day:02d}"
        return f"{self.year:04d}{month}{day}"

    def for_people(self) -> str:
        """`10 Jun 2026`, `Jun 2026` or `2026`; in the other styles `2026-06-10`, or `06/10/2026` and `06/2026`."""
        style = DATE_STYLE.get()
        if self.month is None or style == "iso":
            return str(self)
        if style == "mdy":
            return f"{self.month:02d}/{self.year}" if self.day is None else f"{self.month:02d}/{self.day:02d}/{self.year}"
        return f"{_MONTHS[self.month - 1]} {self.year}" if self.day is None else f"{self.day} {_MONTHS[self.month - 1]} {self.year}"

    @classmethod
    def of(cls, day: date) -> PartialDate:
        return cls(day.year, day.month, day.day)


@lru_cache(maxsize=100_000)
def _ends(partial: PartialDate) -> tuple[date, date]:
    month = partial.month or 12
    last = partial.day or monthrange(partial.year, month)[1]
    return date(partial.year, partial.month or 1, partial.day or 1), date(partial.year, month, last)


_ANY_PRECISION = "write YYYY, YYYY-MM or YYYY-MM-DD, for example 2014-06"


def _refused(got: str, rule: str, do: str = _ANY_PRECISION) -> Refusal:
    return Refusal(what="this is not a date that the tool can use", rule=rule, got=got, do=do)


def parse_date(text: str) -> PartialDate:
    """Read an ISO date of any precision. Raises `Refusal` for anything else.

    >>> parse_date("2014-06")
    PartialDate(year=2014, month=6, day=None)
    """
    match = _ISO.fullmatch(text.strip())
    if not match:
        raise _refused(text, "machine dates are ISO")
    return PartialDate(*(int(part) if part else None for part in match.groups()))  # type: ignore[arg-type]


def parse_day(text: str) -> date:
    """Read a date that must be known to the day, such as today's. Raises `Refusal`."""
    partial = parse_date(text)
    if partial.day is None:
        raise _refused(text, "a full day is needed here", "write YYYY-MM-DD, for example 2026-11-24")
    return partial.earliest


def day_number(day: date) -> int:
    """Whole days since 1 January 1900. Raises `Refusal` outside 1900 to 2099."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise _refused(day.isoformat(), f"years run from {FIRST_YEAR} to {LAST_YEAR}")
    return (day - EPOCH).days


def from_day_number(number: int) -> date:
    """The calendar day of a day number; the inverse of `day_number`."""
    return EPOCH + timedelta(days=number)


def span_for_people(earliest: date, latest: date) -> str:
    """A due date as people say it: one day, a month, a year, or both ends.

    >>> span_for_people(date(2026, 6, 1), date(2026, 6, 30)), span_for_people(date(2026, 1, 1), date(2026, 12, 31))
    ('Jun 2026', '2026')
    """
    for partial in (PartialDate(earliest.year), PartialDate(earliest.year, earliest.month), PartialDate.of(earliest)):
        if (partial.earliest, partial.latest) == (earliest, latest):
            return partial.for_people()
    return f"{PartialDate.of(earliest).for_people()} to {PartialDate.of(latest).for_people()}"
