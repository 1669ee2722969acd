"""The clocks of an impaired unit, each border of them."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.rules.notices import Impaired, Told, business_day, notice_dues

DALLAS = ZoneInfo("America/Chicago")
FOUND = datetime(2026, 7, 3, 10, 0, tzinfo=DALLAS)  # a Friday on which a holiday is observed


def dues(*, now=FOUND, place="us-tx", at=FOUND, cleared=None, told=()):
    case = Impaired(place=place, at=at, cleared=cleared, told=tuple(told))
    return {due.telling.id: due for due in notice_dues(case, now=now, zone=DALLAS)}


def test_a_red_tag_on_a_friday_before_a_holiday():
    """28 TAC 34.521(a), public copy; counted by hand on a calendar of 2026."""
    found = dues()
    assert found["tx-authority"].latest == datetime(2026, 7, 4, 10, 0, tzinfo=DALLAS)
    assert found["tx-copy"].earliest.date() == found["tx-copy"].latest.date() == date(2026, 7, 8)
    assert found["tx-owner"].latest.date() == date(2026, 7, 3)
    assert found["tx-clearance"].state == "not begun"


def test_the_clearing_notice_counts_from_the_removal_of_the_tag():
    cleared = datetime(2026, 7, 10, 16, 0, tzinfo=DALLAS)  # a Friday
    assert dues(cleared=cleared)["tx-clearance"].latest.date() == date(2026, 7, 17)


def test_a_public_holiday_gives_two_ends_and_says_why():
    """Thanksgiving 2026 is 26 November; Texas also keeps the Friday after it (counted by hand)."""
    found = dues(at=datetime(2026, 11, 25, 9, 0, tzinfo=DALLAS))["tx-copy"]
    assert (found.earliest.date(), found.latest.date()) == (date(2026, 11, 30), date(2026, 12, 2))
    assert any("26 Nov 2026 is Thanksgiving Day" in each for each in found.because)


@pytest.mark.parametrize(
    ("day", "state"),
    [
        (date(2026, 11, 30), "due"),
        (date(2026, 12, 1), "may be overdue"),
        (date(2026, 12, 2), "may be overdue"),
        (date(2026, 12, 3), "overdue"),
    ],
)
def test_between_the_ends_it_may_be_overdue(day, state):
    now = datetime(day.year, day.month, day.day, 12, 0, tzinfo=DALLAS)
    assert dues(at=datetime(2026, 11, 25, 9, 0, tzinfo=DALLAS), now=now)["tx-copy"].state == state


@pytest.mark.parametrize(("minutes", "state"), [(-1, "due"), (0, "due"), (1, "overdue")])
def test_twenty_four_hours_are_counted_by_the_clock(minutes, state):
    assert dues(now=FOUND + timedelta(hours=24, minutes=minutes))["tx-authority"].state == state


@pytest.mark.parametrize(("hours", "state"), [(24, "done"), (25, "done late")])
def test_what_was_told_is_held_against_its_clock(hours, state):
    told = Told(to="authority", at=FOUND + timedelta(hours=hours))
    assert dues(now=FOUND + timedelta(days=30), told=[told])["tx-authority"].state == state


def test_hours_do_not_stretch_when_the_clocks_are_changed():
    at = datetime(2026, 10, 31, 12, 0, tzinfo=DALLAS)  # summer time ends in the night
    end = dues(at=at)["tx-authority"].latest
    assert end.astimezone(UTC) - at.astimezone(UTC) == timedelta(hours=24)
    assert end.hour == 11


def test_a_notice_from_before_the_impairment_answers_nothing():
    told = Told(to="authority", at=FOUND - timedelta(minutes=1))
    assert dues(told=[told])["tx-authority"].done is None


def test_where_nothing_is_held_of_a_place_the_owner_is_told_at_once_and_nothing_is_claimed_of_an_authority():
    assert [each.telling.to for each in dues(place="us-mt").values()] == ["owner"]


@given(st.dates(date(2000, 1, 1), date(2060, 1, 1)), st.integers(1, 30), st.sets(st.integers(0, 60), max_size=12))
def test_business_days_agree_with_numpy(start, count, free):
    days = {start + timedelta(days=each) for each in free}
    expected = np.busday_offset(start, count, roll="backward", holidays=sorted(days))
    assert business_day(start, count, dict.fromkeys(days, "free")) == expected.astype(object)
