"""Test records, stamps and certificates against the public texts written down beside this file."""

import tomllib
from fractions import Fraction
from pathlib import Path

import pytest

from pinseal.measures import parse_pressure
from pinseal.physics.expansion import CM3
from pinseal.rules.requalification import Requalifier, TestOnRecord, stamp_of, weigh
from pinseal.standards.requalification import requalification

VALUES = tomllib.loads(Path(__file__).with_name("requalification.toml").read_text(encoding="utf-8"))


def made(**changes):
    said = {"passed": True, "method": "water-jacket", "specification": "DOT-3AA1800", "pressure_pa": parse_pressure("3000 psi").exact}
    return TestOnRecord(**(said | changes))


def test_the_record_of_the_day_says_what_the_text_asks_for():
    held = requalification().records
    assert list(held["calibration"].fields) == VALUES["record"]["calibration"]
    assert list(held["test"].fields) == VALUES["record"]["test"]
    assert list(held["omitted-by-proof"].fields) == VALUES["proof"]["omitted"]


@pytest.mark.parametrize("case", VALUES["stamp"], ids=lambda case: case["method"])
def test_the_stamp_is_that_of_the_text(case):
    grown = {"total_m3": 100 * CM3, "permanent_m3": CM3} if case["method"] == "water-jacket" else {}
    test = made(
        on=case["on"],
        method=case["method"],
        specification=case["specification"],
        pressure_pa=parse_pressure(case["pressure"]).exact,
        **grown,
    )
    stamp, why = stamp_of(test, weigh(test), Requalifier(number=case["number"]), "")
    assert why == ()
    said = stamp.as_json()
    assert {name: said[name] for name in ("month", "square", "year", "letter")} == {
        name: case[name] for name in ("month", "square", "year", "letter")
    }


def test_the_least_sizes_are_those_of_the_text():
    held = requalification()
    assert (float(held.height_mm), float(held.number_height_mm)) == (VALUES["size"]["height_mm"], VALUES["size"]["number_height_mm"])


@pytest.mark.parametrize("case", VALUES["certificate"], ids=lambda case: case["id"])
def test_a_certificate_says_what_the_text_asks_for(case):
    assert list(requalification().certificates[case["id"]].fields) == case["fields"]


@pytest.mark.parametrize("case", VALUES["percent"], ids=lambda case: case["words"])
def test_the_percent_stands_before_rounding(case):
    test = made(on=VALUES["stamp"][0]["on"], total_m3=Fraction(case["total"]) * CM3, permanent_m3=Fraction(case["permanent"]) * CM3)
    found = weigh(test)
    assert found.percent_words == case["words"]
    assert found.over_limit is case["over"]
