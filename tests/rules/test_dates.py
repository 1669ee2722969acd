"""Dates that know how exactly they are known; refusals say what came and which rule it breaks."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.dates import DAYS, PartialDate, day_number, from_day_number, parse_date, parse_day, span_for_people
from pinseal.reasons import Refusal

ALL_DAYS = st.dates(date(1900, 1, 1), date(2099, 12, 31))


@pytest.mark.parametrize(
    ("text", "precision", "earliest", "latest", "people"),
    [
        ("2014", "year", date(2014, 1, 1), date(2014, 12, 31), "2014"),
        ("2014-02", "month", date(2014, 2, 1), date(2014, 2, 28), "Feb 2014"),
        ("2016-02", "month", date(2016, 2, 1), date(2016, 2, 29), "Feb 2016"),
        ("2014-12", "month", date(2014, 12, 1), date(2014, 12, 31), "Dec 2014"),
        ("2014-06-09", "day", date(2014, 6, 9), date(2014, 6, 9), "9 Jun 2014"),
        ("1900-01-01", "day", date(1900, 1, 1), date(1900, 1, 1), "1 Jan 1900"),
        ("2099-12-31", "day", date(2099, 12, 31), date(2099, 12, 31), "31 Dec 2099"),
    ],
)
def test_a_date_of_each_precision(text: str, precision: str, earliest: date, latest: date, people: str) -> None:
    read = parse_date(f" {text} ")
    assert (read.precision, read.earliest, read.latest) == (precision, earliest, latest)
    assert (str(read), read.for_people()) == (text, people)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("1899", "years run from 1900 to 2099"),
        ("2100-01-01", "years run from 1900 to 2099"),
        ("2014-00", "months run from 01 to 12"),
        ("2014-13", "months run from 01 to 12"),
        ("2014-02-29", "the day must be in the calendar"),
        ("2014-04-31", "the day must be in the calendar"),
        ("2014-04-00", "the day must be in the calendar"),
        ("14-04-01", "machine dates are ISO"),
        ("2014-4-1", "machine dates are ISO"),
        ("June 2014", "machine dates are ISO"),
        ("", "machine dates are ISO"),
    ],
)
def test_what_is_no_date_is_refused_with_its_rule(text: str, rule: str) -> None:
    with pytest.raises(Refusal) as refused:
        parse_date(text)
    error = refused.value
    assert (error.what, error.rule, error.got) == ("this is not a date that the tool can use", rule, text)
    assert error.do == "write YYYY, YYYY-MM or YYYY-MM-DD, for example 2014-06"


def test_a_day_needs_its_month() -> None:
    with pytest.raises(Refusal) as refused:
        PartialDate(2014, None, 3)
    assert (refused.value.rule, refused.value.got) == ("a day needs its month", "2014-03")


def test_a_full_day_is_asked_for_where_one_is_needed() -> None:
    assert parse_day("2014-06-09") == date(2014, 6, 9)
    with pytest.raises(Refusal) as refused:
        parse_day("2014-06")
    assert (refused.value.rule, refused.value.got) == ("a full day is needed here", "2014-06")
    assert refused.value.do == "write YYYY-MM-DD, for example 2026-11-24"


@given(ALL_DAYS)
def test_day_numbers_count_days(day: date) -> None:
    assert from_day_number(day_number(day)) == day
    assert day_number(day) == (day - date(1900, 1, 1)).days
    assert PartialDate.of(day).earliest == PartialDate.of(day).latest == day


def test_the_days_of_two_centuries() -> None:
    assert (day_number(date(1900, 1, 1)), day_number(date(2099, 12, 31)), DAYS) == (0, 73048, 73049)
    for outside in (date(1899, 12, 31), date(2100, 1, 1)):
        with pytest.raises(Refusal) as refused:
            day_number(outside)
        assert (refused.value.rule, refused.value.got) == ("years run from 1900 to 2099", outside.isoformat())


@pytest.mark.parametrize(
    ("earliest", "latest", "people"),
    [
        (date(2026, 6, 1), date(2026, 6, 30), "Jun 2026"),
        (date(2026, 1, 1), date(2026, 12, 31), "2026"),
        (date(2026, 6, 9), date(2026, 6, 9), "9 Jun 2026"),
        (date(2026, 6, 1), date(2026, 6, 29), "1 Jun 2026 to 29 Jun 2026"),
        (date(2026, 6, 2), date(2026, 6, 30), "2 Jun 2026 to 30 Jun 2026"),
        (date(2026, 1, 1), date(2027, 12, 31), "1 Jan 2026 to 31 Dec 2027"),
    ],
)
def test_a_span_as_people_say_it(earliest: date, latest: date, people: str) -> None:
    assert span_for_people(earliest, latest) == people


@given(ALL_DAYS, ALL_DAYS)
def test_dates_sort_as_days_do(one: date, other: date) -> None:
    assert (PartialDate.of(one) < PartialDate.of(other)) == (one < other)
    assert PartialDate.of(one).latest - PartialDate(one.year).earliest <= timedelta(days=365)
