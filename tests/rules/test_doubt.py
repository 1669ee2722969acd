"""Which readings an instrument puts in doubt. All names are invented."""

from __future__ import annotations

from datetime import date

import pytest

from pinseal.dates import PartialDate, parse_date
from pinseal.records.corrections import Fact
from pinseal.records.registers import Instrument, InstrumentCheck, Withdrawn
from pinseal.rules.doubt import Reading, doubtful_readings, readings_on


def reading(on: str) -> Reading:
    return Reading(unit="u", record=on, done=parse_date(on), quantity="test pressure", value="585 psi")


def gauge(*checks: tuple[str, bool], withdrawn: str | None = None) -> Instrument:
    gone = Withdrawn(since=parse_date(withdrawn), reason="fell") if withdrawn else None
    made = tuple(InstrumentCheck(record=on, done=parse_date(on), good=good) for on, good in checks)
    return Instrument(uid="g", id="G-1", what="test-gauge", checks=made, withdrawn=gone)


def doubts(instrument: Instrument, *days: str, packs: tuple[str, ...] = ("us-ca",), **asked: date) -> dict[str, str]:
    found = doubtful_readings(instrument, [reading(day) for day in days], packs=packs, **asked)
    return {each.reading.record: each.reason for each in found}


def test_a_reading_on_the_last_day_stands_and_one_on_the_next_does_not() -> None:
    found = gauge(("2026-01-15", True), ("2026-04-30", True))
    days = ("2026-04-14", "2026-04-15", "2026-04-16", "2026-04-20", "2026-04-30")
    assert doubts(found, *days) == {"2026-04-16": "lapsed", "2026-04-20": "lapsed"}
    assert doubts(found, "2026-04-16", packs=("us-nfpa10",)) == {}


def test_the_reason_names_the_rule() -> None:
    (found,) = doubtful_readings(gauge(("2026-01-15", True)), [reading("2026-04-20")], packs=["us-ca@2024"])
    assert found.because.startswith("the last good check is of 2026-01-15; it lapsed after 2026-04-15")
    assert "19 CCR 594.3(a)" in found.because


def test_a_bad_check_casts_doubt_back_to_the_last_good_one() -> None:
    found = gauge(("2026-01-15", True), ("2026-03-01", False), ("2026-03-10", True))
    asked = ("2026-01-14", "2026-01-15", "2026-02-01", "2026-03-01", "2026-03-05", "2026-03-10")
    assert doubts(found, *asked) == {
        "2026-01-14": "never-checked",
        "2026-01-15": "found-bad",
        "2026-02-01": "found-bad",
        "2026-03-01": "found-bad",
        "2026-03-05": "not-made-good",
    }


def test_a_reading_of_which_the_day_is_not_known_is_in_doubt_if_any_of_its_days_is() -> None:
    assert doubts(gauge(("2026-01-15", True)), "2026-01", "2026-02", "2026-04", "2026") == {
        "2026-01": "never-checked",
        "2026-04": "lapsed",
        "2026": "never-checked",
    }


def test_since_a_day_every_reading_of_that_day_and_later_is_in_doubt_whatever_the_checks_say() -> None:
    found = gauge(("2026-01-15", True))
    days = ("2026-01-31", "2026-02-01", "2026-02", "2026-03-01")
    assert doubts(found, *days, since=date(2026, 2, 1)) == dict.fromkeys(("2026-02-01", "2026-02", "2026-03-01"), "bad-since")
    assert doubts(found, *days, since=date(2026, 2, 2)) == dict.fromkeys(("2026-02", "2026-03-01"), "bad-since")
    assert doubts(found, *days, since=date(2026, 2, 1), until=date(2026, 2, 28)) == dict.fromkeys(("2026-02-01", "2026-02"), "bad-since")


def test_until_a_day_leaves_out_what_is_later() -> None:
    assert doubts(gauge(), "2026-02-01", "2026-02-02", until=date(2026, 2, 1)) == {"2026-02-01": "never-checked"}


def test_a_reading_after_the_instrument_was_withdrawn_is_in_doubt() -> None:
    found = gauge(("2026-01-15", True), withdrawn="2026-02-01")
    assert doubts(found, "2026-01-31", "2026-02-01", "2026-02-02") == {"2026-02-02": "withdrawn"}


def test_an_instrument_that_was_never_registered_vouches_for_nothing() -> None:
    unknown = Instrument(uid="", id="old one", checks=(InstrumentCheck(record="c", done=PartialDate(2026, 1, 1), good=True),))
    assert doubts(unknown, "2026-01-02") == {"2026-01-02": "never-checked"}


@pytest.mark.parametrize(
    ("kind", "fields", "expected"),
    [
        ("measured", {"quantity": "gross weight", "value": "9 kg", "instrument": " s-1"}, ("gross weight", "9 kg")),
        ("tested", {"pressure": "585 psi", "instrument": "S-1"}, ("pressure tested", "585 psi")),
        ("hose-tested", {"instrument": "S-1"}, ("hose tested", "no value on record")),
        ("tested", {"pressure": "585 psi"}, None),
        ("tested", {"pressure": "585 psi", "instrument": "S-11"}, None),
    ],
)
def test_a_record_that_names_the_instrument_is_a_reading_on_it(kind: str, fields: dict[str, str], expected: tuple[str, str] | None) -> None:
    fact = Fact(uid="r", kind=kind, done=PartialDate(2026, 1, 2), fields=fields)
    found = [(each.quantity, each.value) for each in readings_on("u", [fact], frozenset({"s-1", "the uid"}))]
    assert found == ([expected] if expected else [])
