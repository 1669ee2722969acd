"""Which tests a lapsed, bad or missing check puts in doubt (E15 and its neighbours)."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.reasons import Refusal
from pinseal.rules.calibration import INTERVALS, Check, Test, doubtful_tests, read_log


def check(day: str, good: bool = True, instrument: str = "G1") -> Check:
    return Check(instrument=instrument, on=date.fromisoformat(day), good=good)


def doubts(checks: list[Check], *days: str, interval: str = "quarterly", instrument: str = "G1") -> dict[str, str]:
    tests = [Test(id=day, instrument=instrument, on=date.fromisoformat(day)) for day in days]
    return {doubt.test.id: doubt.reason for doubt in doubtful_tests(checks=checks, tests=tests, interval=interval)}


def test_a_quarterly_check_of_15_january_lapses_after_15_april() -> None:
    checks = [check("2026-01-15"), check("2026-04-30")]
    assert doubts(checks, "2026-04-15", "2026-04-16", "2026-04-20", "2026-04-29", "2026-04-30") == {
        "2026-04-16": "lapsed",
        "2026-04-20": "lapsed",
        "2026-04-29": "lapsed",
    }
    found = doubtful_tests(checks=checks, tests=[Test(id="T", instrument="G1", on=date(2026, 4, 20))], interval="quarterly")
    assert found[0].as_json() == {
        "id": "T",
        "instrument": "G1",
        "date": "2026-04-20",
        "reason": "lapsed",
        "last_good_check": "2026-01-15",
        "good_until": "2026-04-15",
        "because": "the last good check is of 2026-01-15; quarterly, it lapsed after 2026-04-15",
    }


def test_a_bad_check_casts_doubt_back_to_the_last_good_one_and_forward_to_the_next() -> None:
    checks = [check("2026-01-15"), check("2026-03-01"), check("2026-04-10", good=False), check("2026-04-12")]
    assert doubts(checks, "2026-02-28", "2026-03-01", "2026-04-09", "2026-04-10", "2026-04-11", "2026-04-12") == {
        "2026-03-01": "found-bad",
        "2026-04-09": "found-bad",
        "2026-04-10": "found-bad",
        "2026-04-11": "not-made-good",
    }


def test_bad_and_mended_on_one_day() -> None:
    checks = [check("2026-01-15"), check("2026-02-01", good=False), check("2026-02-01")]
    assert doubts(checks, "2026-01-31", "2026-02-01", "2026-02-02") == {"2026-01-31": "found-bad", "2026-02-01": "found-bad"}


def test_no_check_and_another_instrument_vouch_for_nothing() -> None:
    assert doubts([], "2026-01-15") == {"2026-01-15": "never-checked"}
    assert doubts([check("2026-01-15", instrument="G2")], "2026-01-15") == {"2026-01-15": "never-checked"}
    assert doubts([check("2026-01-10", good=False)], "2026-01-15") == {"2026-01-15": "not-made-good"}
    assert doubts([check("2026-01-16")], "2026-01-15") == {"2026-01-15": "never-checked"}


def test_a_daily_check_vouches_for_its_day() -> None:
    assert doubts([check("2026-01-15")], "2026-01-15", "2026-01-16", interval="daily") == {"2026-01-16": "lapsed"}


def test_an_unknown_interval_is_refused() -> None:
    with pytest.raises(Refusal, match="unknown interval"):
        doubts([], "2026-01-15", interval="weekly")


_days = st.integers(0, 400).map(lambda n: date(2026, 1, 1) + timedelta(days=n))


@given(st.lists(st.tuples(_days, st.booleans()), max_size=12), st.lists(_days, max_size=12), st.sampled_from(list(INTERVALS)))
def test_doubt_follows_the_plain_rule(said: list[tuple[date, bool]], days: list[date], interval: str) -> None:
    """A plain second reading of the rule: a test is safe when a good check covers its day and nothing bad touches the stretch around it."""
    from pinseal.rules.bench_instruments import add_months

    checks = [Check(instrument="G", on=day, good=good) for day, good in said]
    tests = [Test(id=str(i), instrument="G", on=day) for i, day in enumerate(days)]
    found = {doubt.test.id for doubt in doubtful_tests(checks=checks, tests=tests, interval=interval)}
    for test in tests:
        good = [c.on for c in checks if c.good and c.on <= test.on]
        later = [c.on for c in checks if c.on > test.on]
        bad_next = bool(later) and any(c.on == min(later) and not c.good for c in checks)
        bad_since = any(not c.good and good and max(good) < c.on <= test.on for c in checks)
        same_day_bad = any(not c.good and c.on == test.on for c in checks)
        safe = good and test.on <= add_months(max(good), INTERVALS[interval]) and not (bad_next or bad_since or same_day_bad)
        assert (test.id not in found) is bool(safe)


LOG = "kind,date,instrument,result,id\ncheck,2026-01-15,G1,good,\ntest,2026-04-20,G1,,T-7\n"


def test_a_log_is_read() -> None:
    checks, tests = read_log(LOG.splitlines(keepends=True))
    assert checks == (check("2026-01-15"),)
    assert tests == (Test(id="T-7", instrument="G1", on=date(2026, 4, 20)),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "first line names"),
        ("a,b\n1,2\n", "first line names"),
        (LOG.replace("good", "fine"), "good or bad"),
        (LOG.replace("test,", "weigh,"), "a check or a test"),
        (LOG.replace("2026-04-20", "20/4/2026"), "ISO"),
        (LOG.replace("2026-04-20", "2026-04"), "full day"),
        (LOG.replace("T-7", '"T-7'), "unexpected end of data"),
    ],
)
def test_an_unclear_log_is_refused(text: str, words: str) -> None:
    with pytest.raises(Refusal) as refused:
        read_log(text.splitlines(keepends=True))
    assert words in refused.value.rule
