"""The shipped data of pressure tests is complete and sourced; a wrong entry is refused with its reason."""

from __future__ import annotations

import pytest

from pinseal.kinds import CHECKED, CYLINDER_SPECIFICATIONS
from pinseal.reasons import Refusal
from pinseal.standards.pressure_tests import parse_pressure_tests, pressure_tests

LIMIT = """
[[limit]]
id = "x"
specifications = ["3AA"]
percent = "10"
document = "an invented rule"
edition = "1"
clause = "2"
checked = "memory"
checked_on = 2026-11-24
in_force_from = 2002-10-01
in_force_to = "open"
"""


def test_every_specification_has_exactly_one_limit_or_is_never_tested() -> None:
    data = pressure_tests()
    named = [code for row in (*data.limits, *data.no_tests) for code in row.specifications]
    assert sorted(named) == sorted(set(CYLINDER_SPECIFICATIONS) - {"none"})
    pressed = [code for row in data.test_pressures for code in row.specifications]
    assert sorted(pressed) == sorted(code for row in data.limits for code in row.specifications)


def test_every_entry_says_its_source_and_how_it_was_checked() -> None:
    data = pressure_tests()
    for row in (*data.limits, *data.test_pressures, *data.no_tests, *data.proofs, *data.holds, *data.instruments):
        assert row.source.document
        assert row.source.clause
        assert row.source.checked in CHECKED
        assert row.source.in_force_from <= row.source.checked_on


def test_two_readings_of_the_low_pressure_hold_are_kept() -> None:
    assert {hold.hold_s for hold in pressure_tests().holds if hold.test == "low-pressure"} == {30, 60}


def test_a_right_entry_is_read_and_an_end_is_kept() -> None:
    data = parse_pressure_tests(LIMIT.replace('"open"', "2030-01-01"))
    assert str(data.limits[0].source.in_force_to) == "2030-01-01"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('percent = "10"', 'percent = "ten"', "is no number"),
        ('percent = "10"', "percent = 10", "is no text"),
        ('percent = "10"', 'percent = "0"', "no percent"),
        ('"3AA"', '"3ZZ"', "unknown specification"),
        ('"memory"', '"hearsay"', "unknown way of checking"),
        ("2002-10-01", '"2002"', "a date is wrong"),
        ('clause = "2"', "", "wrong or missing keys"),
        ('clause = "2"', 'clause = "2"\ncolour = "red"', "wrong or missing keys"),
        ("[[limit]]", "[[limits]]", "unknown kind of entry"),
        ("[[limit]]", "[[limit", "not TOML"),
        ("[[limit]]", "[[test_pressure]]", "wrong or missing keys"),
    ],
)
def test_a_wrong_entry_is_refused(old: str, new: str, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        parse_pressure_tests(LIMIT.replace(old, new))


def test_a_test_pressure_is_a_figure_or_a_ratio() -> None:
    table = LIMIT.replace("[[limit]]", "[[test_pressure]]")
    for wrong in ("", 'psig = "3000"\nservice_ratio = "2"'):
        with pytest.raises(Refusal, match="not clear"):
            parse_pressure_tests(table.replace('percent = "10"', wrong))
