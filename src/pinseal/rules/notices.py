"""The clocks of an impaired unit: who must be told, by when, and whether that was done in time.

A business day is Monday to Friday. Whether a public holiday is one is not said by the rules that are held, so a due has two ends: the
early one counts public holidays as business days, the late one does not. Plans keep to the early end.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.standards.notices import AFTER, Telling, notice_data, public_holidays

_WEEKEND = 5
_END = time(23, 59, 59)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A notice that was given: to whom (a key of `kinds.TOLD`), when, how, and its record."""

    to: str
    at: datetime
    how: str = ""
    record: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Impaired:
    """An impairment with what was told of it. `at` and `cleared` are moments with a time zone."""

    place: str
    at: datetime
    cleared: datetime | None = None
    told: tuple[Told, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeDue:
    """One clock. `earliest` and `latest` are the two readings of the last moment allowed; None where it has not begun.

    `state`: done, done late, perhaps done late, overdue, may be overdue, due, not begun.
    """

    telling: Telling
    earliest: datetime | None
    latest: datetime | None
    state: str
    done: Told | None
    because: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "id": self.telling.id,
            "to": self.telling.to,
            "words": self.telling.words,
            "within": self.telling.within,
            "earliest": self.earliest.isoformat() if self.earliest else None,
            "latest": self.latest.isoformat() if self.latest else None,
            "state": self.state,
            "done": self.done.at.isoformat() if self.done else None,
            "because": list(self.because),
            "where_there_is_one": self.telling.where_there_is_one,
            **self.telling.source.as_json(),
        }


def notice_dues(case: Impaired, *, now: datetime, zone: ZoneInfo) -> tuple[NoticeDue, ...]:
    """Every clock of an impairment as it stands at `now`. Days are those of `zone`."""
    return tuple(_due(telling, case, now, zone) for telling in notice_data().of_place(case.place))


def _due(telling: Telling, case: Impaired, now: datetime, zone: ZoneInfo) -> NoticeDue:
    start = case.at if telling.after == "impaired" else case.cleared
    if start is None:
        words = "it begins when the impairment is cleared"
        return NoticeDue(telling=telling, earliest=None, latest=None, state="not begun", done=None, because=(words,))
    earliest, latest, because = _last_moments(telling, case.place, start.astimezone(zone), zone)
    done = min((each for each in case.told if each.to == telling.to and each.at >= start), key=lambda each: each.at, default=None)
    return NoticeDue(
        telling=telling, earliest=earliest, latest=latest, state=_state(done, earliest, latest, now), done=done, because=because
    )


def _state(done: Told | None, earliest: datetime, latest: datetime, now: datetime) -> str:
    moment = done.at if done else now
    # At once has no number of minutes: a notice of the same day is not called late, an open one is due from the first moment.
    if moment > latest:
        return "done late" if done else "overdue"
    if moment > earliest:
        return "perhaps done late" if done else "may be overdue"
    return "done" if done else "due"


def _last_moments(telling: Telling, place: str, start: datetime, zone: ZoneInfo) -> tuple[datetime, datetime, tuple[str, ...]]:
    begun = f"counted from {moment_words(start)}, when {AFTER[telling.after]}"
    if telling.hours is not None:
        end = (start.astimezone(ZoneInfo("UTC")) + timedelta(hours=telling.hours)).astimezone(zone)
        return end, end, (begun, f"{telling.hours} hours by the clock, weekends and holidays too")
    if telling.business_days is None:
        end = datetime.combine(start.date(), _END, zone)
        return end, end, (begun, "at once; the end of that day is taken as the last moment (common practice, no source)")
    early = business_day(start.date(), telling.business_days, {})
    free = {
        day: name
        for year in range(start.year, early.year + 2)
        for day, name in (public_holidays(place, year) or {}).items()
        if day.weekday() < _WEEKEND
    }
    late = business_day(start.date(), telling.business_days, free)
    return datetime.combine(early, _END, zone), datetime.combine(late, _END, zone), (begun, *_day_words(start.date(), late, free, place))


def _day_words(start: date, late: date, free: Mapping[date, str], place: str) -> Iterable[str]:
    yield "business days are Monday to Friday; the day itself is not counted"
    if public_holidays(place, start.year) is None:
        yield "the public holidays of this place are not held here, so none is left out"
    for day in sorted(day for day in free if start < day <= late):
        yield f"{PartialDate.of(day).for_people()} is {free[day]}: whether it counts is not said, so there are two ends"


def business_day(start: date, count: int, free: Mapping[date, str]) -> date:
    """The last of `count` business days after `start`; `free` are days that do not count beside Saturdays and Sundays.

    >>> business_day(date(2026, 7, 3), 3, {}).isoformat()  # Friday; Monday, Tuesday, Wednesday
    '2026-07-08'
    """
    day = start
    while count:
        day += timedelta(days=1)
        if day.weekday() < _WEEKEND and day not in free:
            count -= 1
    return day


def moment_words(at: datetime) -> str:
    """`Fri 3 Jul 2026, 10:00`, in the time zone that the moment carries."""
    return f"{('Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun')[at.weekday()]} {PartialDate.of(at.date()).for_people()}, {at:%H:%M}"


def rule_words(telling: Telling) -> str:
    """Where a telling is from, as people say it; of common practice there is no document to name."""
    return kinds.CHECKED["practice"] if telling.source.checked == "practice" else telling.source.for_people()
