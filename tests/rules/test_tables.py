"""The due tables against the calendar of the standard library, and against python-dateutil."""

from calendar import monthrange
from datetime import date, timedelta

import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from pinseal.dates import DAYS, LAST_YEAR, day_number, from_day_number
from pinseal.rules.tables import FAR, UNKNOWN_DAY, after_days, after_months, month_end_after, next_january, table_for, year_end_after

days = st.dates(date(1900, 1, 1), date(LAST_YEAR, 12, 31))
MONTHS = (1, 6, 11, 12, 13, 36, 60, 72, 84, 120, 144, 240)


def later(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def looked_up(table: np.ndarray, day: date) -> date:
    return from_day_number(int(table[day_number(day)]))


@pytest.mark.parametrize("months", [12, 144])
def test_every_day_of_two_centuries_against_the_standard_library(months: int) -> None:
    expected = [day_number(date(1900, 1, 1)) + (later(from_day_number(n), months) - date(1900, 1, 1)).days for n in range(DAYS)]
    assert after_months(months)[:DAYS].tolist() == expected


@given(days, st.sampled_from(MONTHS))
def test_months_later(day: date, months: int) -> None:
    assert looked_up(after_months(months), day) == later(day, months) == day + relativedelta(months=months)


@given(days, st.sampled_from(MONTHS))
def test_the_end_of_the_month(day: date, months: int) -> None:
    assert looked_up(month_end_after(months), day) == day + relativedelta(months=months, day=31)


@given(days, st.integers(0, 20))
def test_the_end_of_the_year(day: date, years: int) -> None:
    assert looked_up(year_end_after(years), day) == date(day.year + years, 12, 31)


@given(days, st.sampled_from((1, 30, 31, 365)))
def test_days_later(day: date, count: int) -> None:
    assert looked_up(after_days(count), day) == day + timedelta(days=count)


@given(days)
def test_the_next_january(day: date) -> None:
    assert looked_up(next_january(), day) == date(day.year + 1, 1, 1)


@given(st.sampled_from(MONTHS), days, days)
def test_a_later_day_never_gives_an_earlier_due(months: int, one: date, other: date) -> None:
    first, second = sorted((one, other))
    for table in (after_months(months), month_end_after(months), year_end_after(months // 12)):
        assert looked_up(table, first) <= looked_up(table, second)


@given(days)
def test_the_conventions_lie_in_order(day: date) -> None:
    ends = [looked_up(table_for(5, "year", convention), day) for convention in ("anniversary", "end-of-month", "end-of-year")]
    assert ends == sorted(ends)


@pytest.mark.parametrize(
    "table", [after_months(12), month_end_after(12), year_end_after(1), after_days(30), next_january(), table_for(1, "year", "anniversary")]
)
def test_a_day_that_is_not_known_gives_no_date(table: np.ndarray) -> None:
    assert table[UNKNOWN_DAY] == FAR
    assert len(table) == DAYS + 1
    assert not table.flags.writeable


@pytest.mark.parametrize(
    ("day", "due"), [("2024-02-29", "2025-02-28"), ("2023-02-28", "2024-02-28"), ("2024-02-28", "2025-02-28"), ("2020-02-29", "2021-02-28")]
)
def test_the_leap_day(day: str, due: str) -> None:
    assert looked_up(after_months(12), date.fromisoformat(day)).isoformat() == due


def test_a_tolerance_moves_the_answer_both_ways() -> None:
    day = date(2025, 5, 20)
    assert looked_up(table_for(12, "month", "anniversary", shift_months=1), day) == date(2026, 6, 20)
    assert looked_up(table_for(12, "month", "anniversary", shift_months=-1), day) == date(2026, 4, 20)
