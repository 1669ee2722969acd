"""Due dates as table look-ups: for each interval and convention one table over every day of two centuries.

Adding twelve years to a million dates is then one gather, exact by construction. Day numbers are those of
`pinseal.dates`. A table has one entry more than there are days: a fact that is not known is day -1, which reads that
last entry, and so gives `FAR` (no date).
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinseal.dates import DAYS

Days = NDArray[np.int32]

UNKNOWN_DAY = np.int32(-1)
FAR = np.int32(2**31 - 1)
_EPOCH = np.datetime64("1900-01-01", "D")


def _day_numbers(days: NDArray[Any]) -> Days:
    return (days - _EPOCH).astype(np.int32)


def _table(numbers: Days) -> Days:
    table = np.append(numbers, FAR)
    table.setflags(write=False)
    return table


@cache
def _calendar() -> tuple[NDArray[Any], NDArray[Any]]:
    """Every day of the two centuries, and the month that each lies in."""
    days = _EPOCH + np.arange(DAYS)
    return days, days.astype("datetime64[M]")


@cache
def after_months(months: int) -> Days:
    """The same day so many months later; where that day does not exist, the last day of that month."""
    days, month = _calendar()
    target = month + months
    last = (target + 1).astype("datetime64[D]") - np.timedelta64(1, "D")
    return _table(_day_numbers(np.minimum(target.astype("datetime64[D]") + (days - month.astype("datetime64[D]")), last)))


@cache
def month_end_after(months: int) -> Days:
    """The last day of the month that lies so many months later."""
    _, month = _calendar()
    return _table(_day_numbers((month + months + 1).astype("datetime64[D]") - np.timedelta64(1, "D")))


@cache
def year_end_after(years: int) -> Days:
    """31 December of the year that lies so many years later."""
    days, _ = _calendar()
    return _table(_day_numbers((days.astype("datetime64[Y]") + years + 1).astype("datetime64[D]") - np.timedelta64(1, "D")))


@cache
def after_days(count: int) -> Days:
    """So many days later."""
    return _table(np.arange(DAYS, dtype=np.int32) + np.int32(count))


@cache
def next_january() -> Days:
    """1 January of the next year."""
    return _table(year_end_after(0)[:DAYS] + np.int32(1))


def table_for(count: int, unit: str, convention: str, *, shift_months: int = 0) -> Days:
    """The table of an interval under a convention; `shift_months` moves the answer, for a tolerance."""
    months = count * (12 if unit == "year" else 1) + shift_months
    if convention == "days":
        return after_days(count)
    if convention == "end-of-month":
        return month_end_after(months)
    if convention == "end-of-year":
        return year_end_after(count)
    return after_months(months)
