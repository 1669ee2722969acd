"""Which tests become doubtful when a check of an instrument lapses or turns out bad.

A good check vouches for the tests from its own day to the end of its interval, that day included. A test after that has
nothing to stand on, and a later good check does not mend it. A bad check casts doubt back to the last good one.
"""

from __future__ import annotations

import csv
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.dates import parse_day
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import add_months

# name: months; daily is the check before the first test of each day.
INTERVALS = {"daily": 0, "quarterly": 3, "half-yearly": 6, "yearly": 12}


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check of an instrument against its master, and whether it was good.

    `until` is the last day that a good one vouches for, where that is not the end of the interval asked for.
    """

    instrument: str
    on: date
    good: bool
    until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """One pressure test and the instrument it rests on."""

    __test__ = False
    id: str
    instrument: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A test that has to be looked at again, and why. `reason`: lapsed, found-bad, not-made-good, never-checked."""

    test: Test
    reason: str
    because: str
    last_good: date | None
    good_until: date | None

    def as_json(self) -> dict[str, str | None]:
        return {
            "id": self.test.id,
            "instrument": self.test.instrument,
            "date": self.test.on.isoformat(),
            "reason": self.reason,
            "last_good_check": self.last_good.isoformat() if self.last_good else None,
            "good_until": self.good_until.isoformat() if self.good_until else None,
            "because": self.because,
        }


@dataclass(frozen=True, slots=True)
class _Days:
    """The checks of one instrument by day: a day is good if its last word may be good, bad if any check of it was bad."""

    days: Sequence[date]
    good: frozenset[date]
    bad: frozenset[date]
    until: Mapping[date, date]


def _by_day(checks: Iterable[Check]) -> _Days:
    kept = list(checks)
    good, bad = (frozenset(check.on for check in kept if check.good is wanted) for wanted in (True, False))
    until = {check.on: check.until for check in kept if check.good and check.until is not None}
    return _Days(sorted(good | bad), good, bad, until)


def _last_day(good: date, days: _Days, interval: str | None) -> tuple[date, str]:
    """The last day that a good check vouches for, and the name of the interval where it is that of one."""
    if good in days.until:
        return days.until[good], ""
    if interval is None:
        raise _no_interval("none is named, and a check does not say until when it counts")
    return add_months(good, INTERVALS[interval]), f"{interval}, "


def _no_interval(got: str) -> Refusal:
    return Refusal(what="unknown interval of checks", rule=f"one of {', '.join(INTERVALS)}", got=got, do="name the rule that you work by")


def _reason(test: Test, days: _Days, interval: str | None) -> tuple[str, str, date | None, date | None] | None:
    """Why a test is in doubt, or None: (reason, sentence, last good check, good until)."""
    at = bisect_right(days.days, test.on)
    last = next((day for day in reversed(days.days[:at]) if day in days.good), None)
    until, named = _last_day(last, days, interval) if last else (None, "")
    if test.on in days.bad:
        return (
            "found-bad",
            f"the check of that very day, {test.on.isoformat()}, was bad; its order within the day is not known",
            last,
            until,
        )
    if last is None or until is None:
        before = days.days[:at]
        if before:
            return "not-made-good", f"the check of {before[-1].isoformat()} was bad and no good one came before the test", None, None
        return "never-checked", "no check is on record on or before the day of the test", None, None
    since = next((day for day in days.days[:at] if day > last), None)
    if since is not None:
        return "not-made-good", f"the check of {since.isoformat()} was bad and no good one came before the test", last, until
    if test.on > until:
        return "lapsed", f"the last good check is of {last.isoformat()}; {named}it lapsed after {until.isoformat()}", last, until
    following = days.days[at] if at < len(days.days) else None
    if following is not None and following in days.bad:
        words = f"the next check, of {following.isoformat()}, was bad; nothing shows when it went wrong after {last.isoformat()}"
        return "found-bad", words, last, until
    return None


def doubtful_tests(*, checks: Iterable[Check], tests: Iterable[Test], interval: str | None) -> tuple[Doubt, ...]:
    """Every test that a lapsed, bad or missing check puts in doubt, by instrument, day and id.

    `interval`: a key of `INTERVALS`, or None where every good check says `until`. On its last day a check still vouches.
    """
    if interval is not None and interval not in INTERVALS:
        raise _no_interval(interval)
    grouped: dict[str, list[Check]] = {}
    for check in checks:
        grouped.setdefault(check.instrument, []).append(check)
    by_instrument = {name: _by_day(kept) for name, kept in grouped.items()}
    nothing = _by_day(())
    found = []
    for test in sorted(tests, key=lambda t: (t.instrument, t.on, t.id)):
        reason = _reason(test, by_instrument.get(test.instrument, nothing), interval)
        if reason is not None:
            code, words, last, until = reason
            found.append(Doubt(test=test, reason=code, because=words, last_good=last, good_until=until))
    return tuple(found)


_COLUMNS = ("kind", "date", "instrument", "result", "id")


def _row_refused(number: int, rule: str, got: str) -> Refusal:
    return Refusal(
        what=f"line {number} of the log is not clear",
        rule=rule,
        got=got,
        do="write kind (check or test), date, instrument, result (good or bad, of a check) and id (of a test)",
    )


def read_log(lines: Iterable[str]) -> tuple[tuple[Check, ...], tuple[Test, ...]]:
    """Checks and tests from the lines of a CSV file with the columns kind, date, instrument, result, id. Raises `Refusal`."""
    checks, tests = [], []
    try:
        reader = csv.DictReader(lines, strict=True)
        names = [(name or "").strip().casefold() for name in reader.fieldnames or ()]
        if not {"kind", "date"} <= set(names):
            raise _row_refused(1, "the first line names the columns", ", ".join(names))
        reader.fieldnames = names
        for row in reader:
            plain = {name: (row.get(name) or "").strip() for name in _COLUMNS}
            kind, day = plain["kind"].casefold(), parse_day(plain["date"])
            if kind == "check":
                if plain["result"].casefold() not in ("good", "bad"):
                    raise _row_refused(reader.line_num, "the result of a check is good or bad", plain["result"])
                checks.append(Check(instrument=plain["instrument"], on=day, good=plain["result"].casefold() == "good"))
            elif kind == "test":
                tests.append(Test(id=plain["id"] or f"line {reader.line_num}", instrument=plain["instrument"], on=day))
            else:
                raise _row_refused(reader.line_num, "a line is a check or a test", plain["kind"])
    except csv.Error as mistake:
        raise Refusal(
            what="this log is not a CSV file", rule=str(mistake), got="", do="save it as plain CSV with commas and UTF-8"
        ) from mistake
    return tuple(checks), tuple(tests)
